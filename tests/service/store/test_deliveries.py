"""Deliveries with their tasks: how they stand, how they rest, and how they go."""

from datetime import timedelta
from uuid import UUID

from uuid6 import uuid7

from service.store import deliveries, events, subscriptions, tasks
from service.store.row_types import Event
from tests.stored import LATER, NOW, Site, moment


def subscribed(site: Site, code: str) -> UUID:
    subscription_id = uuid7()
    values = {"url": "https://sales.example/", "kinds": [], "secret": {}, "created_at": NOW}
    subscriptions.add(
        site.connection, {"id": subscription_id, "firm_id": site.firm_id, "code": code, **values}
    )
    return subscription_id


def added(site: Site, subscription_id: UUID) -> UUID:
    position, end = events.take(site.connection, firm_id=site.firm_id, count=1)
    event_id = uuid7()
    row: Event = {
        "id": event_id,
        "firm_id": site.firm_id,
        "position": position,
        "kind": "quote.offered",
        "subject_id": uuid7(),
        "data": {},
        "happened_at": NOW,
        "chain_sha256": end,
    }
    events.add_all(site.connection, [row])
    delivery_id = uuid7()
    deliveries.add(
        site.connection,
        {
            "id": delivery_id,
            "firm_id": site.firm_id,
            "subscription_id": subscription_id,
            "event_id": event_id,
        },
    )
    tasks.add(site.connection, firm_id=site.firm_id, kind=deliveries.KIND, subject_id=delivery_id, now=NOW)
    return delivery_id


def test_those_of_one_receiver_rest_and_are_due_again(site: Site) -> None:
    one, two = subscribed(site, "one"), subscribed(site, "two")
    resting, others = {added(site, one), added(site, one)}, {added(site, two)}
    deliveries.rest(site.connection, one, moment(1))

    def claimed(now: object) -> set[UUID]:
        found = set()
        while task := tasks.claim(site.connection, ("delivery",), now=now, leased_until=LATER + timedelta(9)):  # type: ignore[arg-type]
            found.add(task["subject_id"])
        return found

    assert claimed(NOW) == others
    assert claimed(moment(1)) == resting


def test_what_was_delivered_is_gone_and_with_a_subscription_goes_the_rest(site: Site) -> None:
    one = subscribed(site, "one")
    first, second = added(site, one), added(site, one)
    assert [each["attempts"] for each in deliveries.states(site.connection, site.firm_id)] == [0, 0]
    deliveries.end(site.connection, first)
    assert deliveries.by_id(site.connection, first) is None
    assert deliveries.by_id(site.connection, second)
    deliveries.drop(site.connection, one)
    assert deliveries.states(site.connection, site.firm_id) == []
    assert tasks.of(site.connection, kind="delivery", subject_id=second) is None
