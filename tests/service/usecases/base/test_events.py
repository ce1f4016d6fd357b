"""An event is there exactly when its change is, and nothing in it says who the client is."""

from dataclasses import fields
from typing import Any

import pytest
from sqlalchemy import Engine

from service.store import series
from service.usecases.base.events import EventData
from tests.api import Api, problem, small_building


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: `store/test_events.py` has both."""
    return sqlite_url


def told(api: Api) -> list[Any]:
    items: list[Any] = api.send("GET", "/v1/events?limit=200").json["items"]
    return items


def test_without_its_event_there_is_no_change(api: Api, monkeypatch: pytest.MonkeyPatch) -> None:
    quote = api.quote(small_building())
    before = told(api)
    take = series.take

    def fails(connection: Any, **named: Any) -> int:
        if named["kind"] == "event":
            raise RuntimeError("no event can be written")
        return take(connection, **named)

    path = f"/v1/quotes/{quote['id']}"
    with monkeypatch.context() as patched:
        patched.setattr(series, "take", fails)
        problem(api.send("POST", f"{path}/offer"), 500)
    assert (api.send("GET", path).json["state"], told(api)) == ("draft", before)
    assert api.send("POST", f"{path}/offer").status_code == 200
    assert len(told(api)) == len(before) + 1


def test_a_change_that_was_refused_is_not_told(api: Api) -> None:
    quote = api.quote(small_building())
    before = told(api)
    problem(api.send("POST", f"/v1/quotes/{quote['id']}/acceptance", {"accepted_by": "A", "how": "B"}), 409)
    assert told(api) == before


def test_done_twice_under_one_key_it_is_told_once(api: Api) -> None:
    quote = api.quote(small_building())
    before = len(told(api))
    for _ in range(2):
        assert api.send("POST", f"/v1/quotes/{quote['id']}/offer", Idempotency_Key="once").status_code == 200
    assert len(told(api)) == before + 1


def test_an_event_holds_ids_states_and_a_count_alone(database: Engine) -> None:
    shapes = {field.name for field in fields(EventData)}
    assert {name for name in shapes if not name.endswith("_id")} == {"state", "superseded_by", "parts_done"}
