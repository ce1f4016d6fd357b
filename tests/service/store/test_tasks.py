"""Tasks as they are claimed, held, ended, put off and counted."""

from datetime import datetime, timedelta
from uuid import UUID

from uuid6 import uuid7

from service.store import tasks
from service.store.row_types import Task
from tests.stored import NOW, Site, firm, moment

KINDS = ("quote", "crew_sheet")
LEASE = timedelta(minutes=30)


def added(site: Site, kind: str = "quote", *, at: datetime = NOW, firm_id: UUID | None = None) -> UUID:
    subject = uuid7()
    tasks.add(site.connection, firm_id=firm_id or site.firm_id, kind=kind, subject_id=subject, now=at)
    return subject


def claimed(site: Site, now: datetime = NOW, kinds: tuple[str, ...] = KINDS) -> Task | None:
    return tasks.claim(site.connection, kinds, now=now, leased_until=now + LEASE)


def test_a_thing_waits_once_for_each_kind(site: Site) -> None:
    subject = added(site)
    for kind in KINDS:
        tasks.add(site.connection, firm_id=site.firm_id, kind=kind, subject_id=subject, now=moment(1))
    found = tasks.of(site.connection, kind="quote", subject_id=subject)
    assert found
    assert (found["attempts"], found["due_at"], found["firm_id"]) == (0, NOW, site.firm_id)
    assert tasks.of(site.connection, kind="certificate", subject_id=subject) is None


def test_what_is_due_for_longest_comes_first_and_each_is_claimed_once(site: Site) -> None:
    second, first, third = added(site, at=moment(1)), added(site), added(site, "crew_sheet", at=moment(2))
    other = added(site, "certificate", at=NOW)
    assert tasks.is_any_due(site.connection, KINDS, moment(2))
    found = [claimed(site, moment(2)) for _ in range(4)]
    assert [task["subject_id"] for task in found if task] == [first, second, third]
    assert found[3] is None
    assert not tasks.is_any_due(site.connection, KINDS, moment(2))
    assert tasks.is_any_due(site.connection, ("certificate",), NOW)
    assert other not in [task["subject_id"] for task in found if task]


def test_nothing_is_due_before_its_time(site: Site) -> None:
    added(site, at=moment(1))
    assert claimed(site, moment(0.9)) is None


def test_what_nobody_renews_is_claimed_again_and_the_first_claim_ends_nothing(site: Site) -> None:
    subject = added(site)
    first = claimed(site)
    assert first
    tasks.renew(site.connection, first, moment(1))
    assert claimed(site, moment(0.9)) is None
    second = claimed(site, moment(1))
    assert second
    assert (second["attempts"], second["subject_id"]) == (2, subject)
    tasks.renew(site.connection, first, moment(9))
    put_off = tasks.put_off(site.connection, first, until=NOW, error={}, dead=True)
    assert not put_off
    assert not tasks.end(site.connection, first)
    assert tasks.of(site.connection, kind="quote", subject_id=subject) == second
    assert tasks.end(site.connection, second)
    assert tasks.of(site.connection, kind="quote", subject_id=subject) is None


def test_what_is_asked_for_while_somebody_is_at_it_is_done_once_more(site: Site) -> None:
    """He may have begun before the change that asks for it."""
    subject = added(site)
    first = claimed(site)
    assert first
    again = {"firm_id": site.firm_id, "kind": "quote", "subject_id": subject}
    tasks.add(site.connection, **again, now=moment(0.2), request_id="the second", trace=None)
    assert claimed(site, moment(0.3)) is None
    assert tasks.end(site.connection, first)
    second = claimed(site, moment(0.3))
    assert second
    assert (second["subject_id"], second["attempts"], second["request_id"]) == (subject, 1, "the second")
    assert tasks.end(site.connection, second)
    assert tasks.of(site.connection, kind="quote", subject_id=subject) is None


def test_what_was_put_off_waits_and_what_is_dead_waits_for_somebody(site: Site) -> None:
    subject = added(site)
    first = claimed(site)
    assert first
    assert tasks.put_off(site.connection, first, until=moment(1), error={"code": "x"}, dead=False)
    assert claimed(site, moment(0.9)) is None
    second = claimed(site, moment(1))
    assert second
    assert second["last_error"] == {"code": "x"}
    assert tasks.put_off(site.connection, second, until=moment(1), error={"code": "y"}, dead=True)
    assert claimed(site, moment(9)) is None
    assert subject in [task["subject_id"] for task in tasks.dead(site.connection)]
    assert tasks.revive(site.connection, moment(2)) == 1
    again = claimed(site, moment(2))
    assert again
    assert (again["attempts"], again["last_error"], again["dead_at"]) == (1, {"code": "y"}, None)


def test_figures_are_those_of_all_firms_together(site: Site) -> None:
    assert [row for row in tasks.figures(site.connection) if row["kind"] == "quote"] == []
    for owner in (site.firm_id, firm(site.connection)):
        added(site, firm_id=owner, at=moment(1))
        added(site, firm_id=owner, at=moment(2))
        task = claimed(site, moment(2))
        assert task
        tasks.spend(site.connection, task, failed=False, seconds=1.5)
        tasks.spend(site.connection, task, failed=True, seconds=2)
        tasks.end(site.connection, task)
    dead = claimed(site, moment(2))
    assert dead
    tasks.put_off(site.connection, dead, until=moment(3), error={}, dead=True)
    (found,) = tasks.figures(site.connection)
    assert (found["waiting"], found["dead"], found["done"], found["failed"]) == (1, 1, 2, 2)
    assert (found["oldest"], found["seconds"]) == (moment(2), 7)
