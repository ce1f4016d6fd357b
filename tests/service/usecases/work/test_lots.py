"""The stock follows what jobs say: entry by entry, corrections too, on either database."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from flask import Flask

from service.store import firms
from service.store.session import reading
from service.usecases.work import lots
from tests.api import Api, operator_of


@pytest.fixture(scope="module")
def job(app: Flask) -> Any:
    return Api(app).job()


def said(kind: str, **fields: Any) -> dict[str, Any]:
    return {"id": str(uuid4()), "kind": kind, "happened_at": "2026-11-25T08:00:00Z", "by": "A hand", **fields}


def stock(api: Api) -> dict[str | None, Any]:
    """The firm's lots by their names, each held against what all entries say together."""
    with operator_of(api.app) as database, reading(database) as connection:
        firm = firms.by_code(connection, "demo")
        assert firm is not None
        assert lots.kept(connection, firm["id"]) == lots.summed(connection, firm["id"])
    return {line["lot"]: line for line in api.send("GET", "/v1/stock").json["items"]}


def test_the_stock_follows_the_entries(api: Api, job: Any) -> None:
    came, left = said("delivery", lot="L1", bags=10.1), said("delivery", lot="L1", left_over=0.3)
    assert api.record(job, [came, said("hours", people=2, hours=3)]).status_code == 201
    assert stock(api)["L1"]["blown_bags"] == 0
    assert api.record(job, [left, said("reclaimed", mass_kg=0.1)]).status_code == 201
    found = stock(api)
    assert (found["L1"]["delivered_bags"], found["L1"]["there_bags"]) == (10.1, 0.3)
    assert (found["L1"]["blown_bags"], found[None]["there_kg"]) == (9.8, 0.1)

    other = {**came, "lot": "L2"}
    del other["id"]
    wrong = said("correction", entry=came["id"], reason="The label", replacement=other)
    assert api.record(job, [wrong]).status_code == 201
    again = said("correction", entry=left["id"], reason="It was of another job")
    assert api.record(job, [again]).status_code == 201
    found = stock(api)
    assert (found["L1"]["delivered_bags"], found["L1"]["there_bags"]) == (0, 0)
    assert (found["L2"]["delivered_bags"], found["L2"]["blown_bags"]) == (10.1, 0)


def test_spill_that_the_same_job_blows_again_is_there_no_more(api: Api) -> None:
    other = api.job()
    before = stock(api).get(None, {"taken_kg": 0, "there_kg": 0})
    again = said("fill", cavity=other["cavities"][0]["label"], mass_kg=4, from_spill=True)
    assert api.record(other, [said("reclaimed", mass_kg=6), again]).status_code == 201
    found = stock(api)[None]
    assert (found["taken_kg"], found["there_kg"]) == (before["taken_kg"] + 4, before["there_kg"] + 2)
    struck = said("correction", entry=again["id"], reason="It was of bags")
    assert api.record(other, [struck]).status_code == 201
    assert stock(api)[None]["there_kg"] == before["there_kg"] + 6


def test_what_is_sent_again_or_refused_adds_nothing(api: Api, job: Any) -> None:
    came = said("delivery", lot="L3", bags=4)
    for _ in range(2):
        assert api.record(job, [came]).status_code == 201
    assert api.record(job, [said("delivery", lot="L3", bags=4), {"kind": "delivery"}]).status_code == 422
    assert stock(api)["L3"]["delivered_bags"] == 4


def test_what_another_job_takes_over_is_there_no_more(api: Api, job: Any) -> None:
    assert api.record(job, [said("delivery", lot="L4", bags=9, left_over=5)]).status_code == 201
    other = api.job()
    number = api.send("GET", f"/v1/jobs/{job['id']}").json["number"]
    taken = said("delivery", lot="L4", bags=2, from_job=number)
    assert api.record(other, [taken]).status_code == 201
    assert stock(api)["L4"]["there_bags"] == 3
    planned = other["takeoff"]["bags"]
    there = sum(line["there_bags"] for line in stock(api).values())
    path = f"/v1/orders?job={api.send('GET', '/v1/jobs/' + other['id']).json['number']}"
    (line,) = api.send("GET", path).json["items"]
    assert (line["planned_bags"], line["delivered_bags"], line["there_bags"]) == (planned, 2, there)


def test_pages_go_from_the_newest_lot_to_the_oldest(api: Api, job: Any) -> None:
    stock(api)
    every = api.send("GET", "/v1/stock").json
    assert every["next"] is None
    first = api.send("GET", "/v1/stock?limit=2")
    assert first.json["items"] == every["items"][:2]
    assert UUID(first.json["next"])
    assert first.headers["Link"].endswith('rel="next"')
    rest = api.send("GET", f"/v1/stock?limit=200&after={first.json['next']}").json
    assert rest == {"items": every["items"][2:], "next": None}
    named = api.send("GET", "/v1/stock?lot=L2").json["items"]
    assert [line["lot"] for line in named] == ["L2"]
