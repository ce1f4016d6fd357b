"""Deliveries by Standard Webhooks, judged by that convention's own library, at receivers of every kind."""

import html
import json
import re
import time
import uuid
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select
from standardwebhooks import Webhook

from service.settings import Settings
from service.store.session import reading
from service.store.tables import deliveries, subscriptions
from service.store.tables import tasks as table
from service.usecases.keeping import tasks
from tests.api import NOW, Api, operator_of, small_building, work_off
from tests.receiver import HERE, Answer, Receiver, receiving, status, trusted

DELIVERY = ("delivery",)


@pytest.fixture(scope="module")
def settings(settings: Settings) -> Settings:
    """A receiver may lie on this machine."""
    return replace(settings, deliver_to=HERE)


@pytest.fixture(autouse=True)
def _trusting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSL_CERT_FILE", trusted(tmp_path))


@pytest.fixture(autouse=True)
def _nothing_subscribed(api: Api) -> Iterator[None]:
    yield
    for each in api.send("GET", "/v1/subscriptions").json["items"]:
        assert api.send("DELETE", f"/v1/subscriptions/{each['code']}").status_code == 204


def subscribed(api: Api, receiver: Receiver, *kinds: str, code: str = "sales") -> Any:
    body = {"url": receiver.url, "events": list(kinds or ("quote.offered",))}
    answer = api.send("PUT", f"/v1/subscriptions/{code}", body, Idempotency_Key=f"{code} {receiver.port}")
    assert answer.status_code == 200, answer.text
    return answer.json


def offered(api: Api) -> Any:
    quote = api.quote(small_building(cavities=small_building()["cavities"][:1]))
    answer = api.send("POST", f"/v1/quotes/{quote['id']}/offer", X_Request_Id="request-of-an-offer")
    assert answer.status_code == 200
    return answer.json


def verified(receiver: Receiver, secret: str, place: int = 0) -> Any:
    received = receiver.received[place]
    return Webhook(secret).verify(received.body, received.headers)


def deliver(api: Api, later: timedelta = timedelta()) -> int:
    """What a worker does of deliveries alone; returns how many attempts it took."""
    return work_off(api.app, later=later, kinds=DELIVERY)


def shown(api: Api) -> Any:
    return api.send("GET", "/v1/subscriptions/sales").json


def test_an_event_is_delivered_signed_and_nothing_of_a_client_with_it(api: Api, tmp_path: Path) -> None:
    with receiving(tmp_path) as receiver:
        secret = subscribed(api, receiver)["secret"]
        quote = offered(api)
        assert deliver(api) == 1
    payload = verified(receiver, secret)
    assert payload["type"] == "quote.offered"
    assert (payload["data"]["quote_id"], payload["data"]["state"]) == (quote["id"], "offered")
    listed = api.send("GET", f"/v1/events?after={payload['position'] - 1}").json["items"]
    assert listed == [payload]
    assert receiver.received[0].headers["webhook-id"] == payload["id"]
    told = json.dumps(payload)
    assert not any(each in told for each in (quote["client"]["name"], quote["site"]["address"]))
    assert (shown(api)["waiting"], shown(api)["error"]) == (0, None)
    assert shown(api)["delivered_at"]


def test_what_the_guide_shows_tells_a_genuine_request(api: Api, tmp_path: Path) -> None:
    shown = api.client.get("/docs/guide").text
    block = html.unescape(re.findall(r'class="run">(import base64.*?)</pre>', shown, re.DOTALL)[0])
    with receiving(tmp_path) as receiver:
        secret = subscribed(api, receiver)["secret"]
        offered(api)
        assert deliver(api) == 1
    (received,) = receiver.received
    # The place of what goes before it in the guide.
    before = {"send": lambda *_, **__: {"secret": secret}, "OFFICE": "", "uuid": uuid, "time": time}
    exec(block, before)
    is_genuine: Any = before["is_genuine"]
    assert is_genuine(received.headers, received.body)
    assert not is_genuine(received.headers, received.body + b" ")
    assert not is_genuine({**received.headers, "webhook-timestamp": "1"}, received.body)


def test_only_what_was_asked_for_is_delivered_to_each_of_several(api: Api, tmp_path: Path) -> None:
    with receiving(tmp_path) as one, receiving(tmp_path) as two:
        subscribed(api, one, "quote.offered", "quote.accepted", code="one")
        subscribed(api, two, "quote.accepted", code="two")
        api.job()
        assert deliver(api) == 3
    assert sorted(json.loads(each.body)["type"] for each in one.received) == [
        "quote.accepted",
        "quote.offered",
    ]
    assert [json.loads(each.body)["type"] for each in two.received] == ["quote.accepted"]


@pytest.mark.parametrize("answer", [status(500), status(302, "Location: https://localhost/")])
def test_who_fails_is_tried_for_three_days_with_the_same_id_and_then_given_up(
    api: Api, tmp_path: Path, answer: Answer
) -> None:
    with receiving(tmp_path, answer) as receiver:
        secret = subscribed(api, receiver)["secret"]
        offered(api)
        attempts = sum(deliver(api, later=timedelta(hours=6) * n) for n in range(24))
    assert attempts == len(tasks.DELIVERY_PAUSES_S) + 1
    assert {each.headers["webhook-id"] for each in receiver.received} == {verified(receiver, secret)["id"]}
    found = shown(api)
    assert (found["waiting"], found["given_up"]) == (0, 1)
    assert found["error"]["code"].startswith("deliveries.")
    # What was given up is still there for who asks.
    last = api.send("GET", "/v1/events?limit=200").json["items"][-1]
    assert last["id"] == receiver.received[0].headers["webhook-id"]
    # And begins anew when the operator says so.
    with receiving(tmp_path) as well, operator_of(api.app) as database:
        body = {"url": well.url, "events": ["quote.offered"]}
        assert (
            api.send("PUT", "/v1/subscriptions/sales", body, Idempotency_Key=str(well.port)).json["secret"]
            is None
        )
        assert tasks.revived(database, NOW) == 1
        assert deliver(api) == 1
    assert len(well.received) == 1


def test_three_days_are_three_days() -> None:
    assert 72 <= sum(tasks.DELIVERY_PAUSES_S) / 3600 < 74


def test_who_comes_back_gets_what_was_put_off(api: Api, tmp_path: Path) -> None:
    with receiving(tmp_path, status(503), status(204)) as receiver:
        secret = subscribed(api, receiver)["secret"]
        offered(api)
        assert deliver(api) == 1
        assert shown(api)["waiting"] == 1
        assert deliver(api, later=timedelta(minutes=2)) == 1
    first, second = receiver.received
    assert first.headers["webhook-id"] == second.headers["webhook-id"]
    assert verified(receiver, secret, 1) == verified(receiver, secret, 0)


def test_one_that_fails_lets_the_others_of_its_receiver_rest(api: Api, tmp_path: Path) -> None:
    with receiving(tmp_path, status(500)) as receiver, receiving(tmp_path) as well:
        subscribed(api, receiver)
        subscribed(api, well, code="well")
        for _ in range(3):
            offered(api)
        assert deliver(api) == 1 + 3
    assert (len(receiver.received), len(well.received)) == (1, 3)
    assert shown(api)["waiting"] == 3


def test_a_delivery_that_is_done_twice_is_known_by_its_id(api: Api, tmp_path: Path) -> None:
    """The worker died after the receiver took it, and before that was noted."""
    with receiving(tmp_path) as receiver, operator_of(api.app) as database:
        subscribed(api, receiver)
        offered(api)
        with reading(database) as connection:
            (kept,) = connection.execute(select(deliveries)).mappings()
            (task,) = connection.execute(select(table).where(table.c.kind == "delivery")).mappings()
        assert deliver(api) == 1
        with database.begin() as connection:
            connection.execute(deliveries.insert().values(**kept))
            connection.execute(table.insert().values(**task))
        assert deliver(api) == 1
        assert deliver(api) == 0
    first, second = receiver.received
    assert first.headers["webhook-id"] == second.headers["webhook-id"]
    assert first.body == second.body


def test_a_new_secret_signs_at_once_and_the_old_one_for_a_while(api: Api, tmp_path: Path) -> None:
    with receiving(tmp_path) as receiver:
        old = subscribed(api, receiver)["secret"]
        path = "/v1/subscriptions/sales/secret"
        new = api.send("POST", path, {"grace_hours": 1}, Idempotency_Key="renewed").json["secret"]
        assert new != old
        offered(api)
        assert deliver(api) == 1
        assert verified(receiver, new) == verified(receiver, old)
        again = api.send("POST", path, {"grace_hours": 0}, Idempotency_Key="renewed again").json["secret"]
        offered(api)
        assert deliver(api) == 1
    assert len(receiver.received[1].headers["webhook-signature"].split()) == 1
    assert verified(receiver, again, 1)


def test_whoever_has_the_database_alone_can_sign_nothing(
    api: Api, tmp_path: Path, settings: Settings
) -> None:
    with receiving(tmp_path) as receiver:
        secret = subscribed(api, receiver)["secret"]
        with operator_of(api.app) as database, reading(database) as connection:
            kept = str(connection.execute(select(subscriptions)).mappings().all())
        assert secret.removeprefix("whsec_") not in kept
        offered(api)
        app = api.app
        app.extensions["settings"] = replace(settings, secret_key="another key of the tests' own")
        try:
            assert deliver(api) == 1
        finally:
            app.extensions["settings"] = settings
    assert receiver.received == []
    assert shown(api)["error"]["code"] == "deliveries.secret_locked"


def test_with_its_subscription_goes_what_was_on_its_way(api: Api, tmp_path: Path) -> None:
    with receiving(tmp_path) as receiver:
        subscribed(api, receiver)
        offered(api)
        assert api.send("DELETE", "/v1/subscriptions/sales").status_code == 204
        assert deliver(api) == 0
    assert receiver.received == []
