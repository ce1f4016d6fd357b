"""Quotes: a building is worked out while others write, and a request that is repeated is still done once."""

from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager
from threading import Barrier, Event
from typing import Any
from uuid import uuid4

import pytest
from flask import Flask
from sqlalchemy import Engine, func, select
from werkzeug.test import TestResponse

from service.store import tables
from service.store.session import reading
from service.usecases.work import drafts, takeoffs
from tests.api import Api, problem, small_building

LONG_S = 60


def count(database: Engine) -> int:
    with reading(database) as connection:
        return connection.execute(select(func.count()).select_from(tables.quotes)).scalar_one()


@contextmanager
def at_work(app: Flask, monkeypatch: pytest.MonkeyPatch, **sent: Any) -> Iterator[Future[TestResponse]]:
    """A request whose building is being worked out, for as long as the block lasts."""
    begun, may_end, work_out = Event(), Event(), takeoffs.work_out

    def long(*building: Any) -> Any:
        begun.set()
        assert may_end.wait(LONG_S)
        return work_out(*building)

    api = Api(app)
    api.key("office")
    with ThreadPoolExecutor(1) as pool, monkeypatch.context() as patched:
        patched.setattr(takeoffs, "work_out", long)
        answer = pool.submit(api.send, **sent)
        try:
            assert begun.wait(LONG_S)
            patched.undo()
            yield answer
        finally:
            may_end.set()


@pytest.mark.parametrize("keyed", [True, False])
def test_others_write_while_a_building_is_worked_out(
    app: Flask, api: Api, database: Engine, monkeypatch: pytest.MonkeyPatch, keyed: bool
) -> None:
    before = count(database)
    mark = {"Idempotency_Key": str(uuid4())} if keyed else {}
    large = {"method": "POST", "path": "/v1/quotes", "body": small_building(), **mark}
    with at_work(app, monkeypatch, **large) as answer:
        assert api.send("POST", f"/v1/quotes/{api.quote()['id']}/offer").status_code == 200
        assert not answer.done()
        assert count(database) == before + 1
    assert answer.result().status_code == 201
    assert count(database) == before + 2


def test_a_draft_that_is_changed_while_another_change_is_worked_out_is_not_overwritten(
    app: Flask, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    change = {"method": "PUT", "path": path, "If_Match": '"1"'}
    with at_work(app, monkeypatch, body=small_building(travel_km=1), **change) as answer:
        assert api.send(body=small_building(travel_km=2), **change).status_code == 200
    problem(answer.result(), 412)
    assert api.send("GET", path).json["travel_km"] == 2


def test_a_draft_that_is_offered_while_a_change_is_worked_out_stays_as_it_was_offered(
    app: Flask, api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    change = {"method": "PUT", "path": path, "If_Match": '"1", "2"', "body": small_building(travel_km=9)}
    with at_work(app, monkeypatch, **change) as answer:
        offered = api.send("POST", f"{path}/offer").json
    problem(answer.result(), 409)
    assert api.send("GET", path).json == offered


def twins(app: Flask, monkeypatch: pytest.MonkeyPatch, **sent: Any) -> list[TestResponse]:
    """The answers to a request and its twin that were worked out at the same time, both of them."""
    together, work_out = Barrier(2), takeoffs.work_out

    def both(*building: Any) -> Any:
        together.wait(LONG_S)
        return work_out(*building)

    monkeypatch.setattr(takeoffs, "work_out", both)
    callers = Api(app), Api(app)
    callers[1].keys = {"office": callers[0].key("office")}
    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(lambda caller: caller.send(**sent), callers))


@pytest.mark.parametrize("method", ["POST", "PUT"])
def test_twins_that_are_both_worked_out_have_one_effect_and_one_answer(
    app: Flask, api: Api, database: Engine, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    path = "/v1/quotes" if method == "POST" else f"/v1/quotes/{api.quote()['id']}"
    sent = {"path": path, "method": method, "body": small_building(travel_km=3)}
    marks = {"If_Match": '"1"', "Idempotency_Key": str(uuid4())}
    before = count(database)
    one, other = twins(app, monkeypatch, **sent, **marks)
    assert one.status_code == (201 if method == "POST" else 200)
    assert (one.status_code, one.data, one.headers["ETag"]) == (
        other.status_code,
        other.data,
        other.headers["ETag"],
    )
    assert count(database) == before + (method == "POST")
    assert one.json["version"] == (1 if method == "POST" else 2)


def test_a_twin_that_is_done_while_a_change_is_looked_at_is_no_other_change(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = f"/v1/quotes/{api.quote()['id']}"
    change = {"method": "PUT", "path": path, "body": small_building(travel_km=4)}
    marks = {"If_Match": '"1"', "Idempotency_Key": str(uuid4())}
    answers: list[TestResponse] = []
    refuse: Callable[..., None] = drafts.refuse_repeated

    def with_a_twin(*asked: Any) -> None:
        refuse(*asked)
        monkeypatch.setattr(drafts, "refuse_repeated", refuse)
        answers.append(api.send(**change, **marks))

    monkeypatch.setattr(drafts, "refuse_repeated", with_a_twin)
    answers.append(api.send(**change, **marks))
    assert [answer.status_code for answer in answers] == [200, 200]
    assert answers[0].data == answers[1].data


@pytest.mark.parametrize("method", ["POST", "PUT"])
def test_what_was_done_before_is_not_worked_out_again(
    api: Api, monkeypatch: pytest.MonkeyPatch, method: str
) -> None:
    path = "/v1/quotes" if method == "POST" else f"/v1/quotes/{api.quote()['id']}"
    sent = {"method": method, "path": path, "body": small_building(), "If_Match": '"1"'}
    sent["Idempotency_Key"] = str(uuid4())
    first = api.send(**sent)
    assert first.status_code in (200, 201)

    def fails(*_building: Any) -> Any:
        raise AssertionError("worked out again")

    monkeypatch.setattr(takeoffs, "work_out", fails)
    assert api.send(**sent).data == first.data
    problem(api.send(**{**sent, "body": small_building(travel_km=5)}), 422)
    # A change that cannot be is refused before it is worked out, too.
    problem(api.send("PUT", f"/v1/quotes/{uuid4()}", small_building(), If_Match='"1"'), 404)
    stale = api.send("PUT", f"/v1/quotes/{first.json['id']}", small_building(), If_Match='"7"')
    problem(stale, 412)
