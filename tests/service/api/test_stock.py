"""Stock and orders through the API, as an answer, a table and a page."""

import csv
import io
import json
from typing import Any
from uuid import uuid4

import pytest

from tests.api import DEMO, Api, building, problem, small_building
from tests.service.documents.reading import page_size_pt, text_of


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: `store/test_stock.py` has both."""
    return sqlite_url


@pytest.fixture(scope="module")
def done(app: Any) -> Any:
    """A job that is done."""
    return Api(app).worked()


def test_what_jobs_say_of_material_is_the_stock(api: Api, done: Any) -> None:
    lines = api.send("GET", "/v1/stock").json["items"]
    assert {line["material"] for line in lines} == {done["material"]["code"]}
    assert sum(line["delivered_bags"] for line in lines) >= done["takeoff"]["bags"]
    table = list(csv.DictReader(io.StringIO(api.send("GET", "/v1/exports/stock").text)))
    assert [float(row["there_bags"]) for row in table] == [line["there_bags"] for line in lines]
    assert Api(api.app, firm="other").send("GET", "/v1/stock").json == {"items": [], "next": None}


def test_a_new_job_is_ordered_for(api: Api, done: Any) -> None:
    job = api.job()
    there = sum(line["there_bags"] for line in api.send("GET", "/v1/stock").json["items"])
    number = api.send("GET", f"/v1/jobs/{job['id']}").json["number"]
    found = api.send("GET", f"/v1/orders?job={number}").json
    (line,) = found["items"]
    assert (found["jobs"], line["planned_bags"]) == ([number], job["takeoff"]["bags"])
    assert line["order_bags"] == pytest.approx(job["takeoff"]["bags"] - there, abs=1)
    said = {"id": str(uuid4()), "happened_at": "2026-11-25T08:00:00Z", "by": "A hand", "kind": "delivery"}
    assert api.record(job, [{**said, "material": "CF-OTHER", "bags": 500}]).status_code == 201
    assert api.send("GET", f"/v1/orders?job={number}").json == found
    crew = api.send("POST", "/v1/crews", {"name": "North"}, Idempotency_Key="north").json["id"]
    days = {"days": [{"day": "2027-02-01", "crew": crew}]}
    assert api.send("PUT", f"/v1/jobs/{job['id']}/assignment", days).status_code == 200
    assert api.send("GET", "/v1/orders?from=2027-02-01&to=2027-02-07").json == found
    assert api.send("GET", "/v1/orders?from=2027-03-01&to=2027-03-07").json["items"] == []
    row = next(csv.DictReader(io.StringIO(api.send("GET", f"/v1/exports/orders?job={number}").text)))
    assert row["order_bags"] == str(line["order_bags"])
    page = api.send("GET", f"/v1/orders/document?job={number}", Accept_Language="de")
    assert "Bestellliste" in text_of(page.data)
    assert number in text_of(page.data)
    page = api.send("GET", "/v1/orders/document?from=2027-03-01&to=2027-03-07", Accept_Language="de")
    assert "nichts zu bestellen" in text_of(page.data)


def test_the_page_is_of_the_size_that_its_jobs_market_prints_on(api: Api) -> None:
    us = json.loads((DEMO / "building-us.json").read_text(encoding="utf-8"))
    for body, size_pt in ((us, (612.0, 792.0)), (small_building(), (595.28, 841.89))):
        number = api.send("GET", f"/v1/jobs/{api.job(body)['id']}").json["number"]
        page = api.send("GET", f"/v1/orders/document?job={number}")
        assert page_size_pt(page.data) == pytest.approx(size_pt, abs=0.1)


def test_what_came_up_on_the_way_is_ordered_too(api: Api) -> None:
    """Of two jobs, each by a `job` of its own; one has a supplement that its crew may fill at once."""
    with_more, plain = api.job(), api.job()
    numbers = [api.send("GET", f"/v1/jobs/{job['id']}").json["number"] for job in (with_more, plain)]
    both = f"/v1/orders?job={numbers[0]}&job={numbers[1]}"
    (before,) = api.send("GET", both).json["items"]
    assert (before["planned_bags"], before["jobs"]) == (2 * plain["takeoff"]["bags"], numbers)
    wall = {**building()["cavities"][0], "label": "NEW"}
    path, said = f"/v1/jobs/{with_more['id']}/supplements", {"id": str(uuid4()), "by": "Crew"}
    proposed = api.send("POST", path, {**said, "cavities": [wall]}, Idempotency_Key=said["id"])
    assert proposed.status_code == 201, proposed.text
    (after,) = api.send("GET", both).json["items"]
    more = proposed.json["adds"]["bags"]
    assert more > 0
    assert after["planned_bags"] == before["planned_bags"] + more
    bags = api.send("GET", f"/v1/jobs/{with_more['id']}").json["takeoff"]["bags"]
    assert after["planned_bags"] == bags + plain["takeoff"]["bags"]


def test_days_or_jobs_have_to_be_named(api: Api) -> None:
    reversed_days = problem(api.send("GET", "/v1/orders?from=2027-03-07&to=2027-03-01"), 422)
    assert reversed_days["errors"][0]["pointer"] == "/to"
    problem(api.send("GET", "/v1/orders"), 422)
    problem(api.send("GET", "/v1/orders?job=J-1999-0001"), 422)
