"""The list of jobs: pages that neither miss nor repeat one, and what each line says of its job."""

from datetime import date
from typing import Any
from uuid import UUID

import pytest
from flask import Flask
from sqlalchemy import Engine

from service.usecases.base.context import Context
from service.usecases.firm import firms
from service.usecases.work.job_list import Wanted, listed
from tests.api import NOW, Api, small_building

EVERY = Wanted()


@pytest.fixture(scope="module")
def jobs(app: Flask) -> list[Any]:
    """Three jobs of the demo firm, oldest first, and one of another firm."""
    Api(app, firm="other").job()
    api = Api(app)
    return [api.job({**small_building(), "reference": f"R-{number}"}) for number in range(3)]


@pytest.fixture
def office(app: Flask, database: Engine) -> Context:
    nobody = Context(
        database=app.extensions["database"], settings=app.extensions["settings"], caller=None, now=NOW
    )
    return nobody.acting_for(firms.id_of(database, "demo"), "office")


def test_pages_follow_one_another_newest_first(office: Context, jobs: list[Any]) -> None:
    first = listed(office, EVERY, 2, None)
    second = listed(office, EVERY, 2, UUID(first["next"]))
    assert second["next"] is None
    found = [line["id"] for page in (first, second) for line in page["items"]]
    assert found == [job["id"] for job in reversed(jobs)]


def test_a_line_says_what_an_office_plans_by(office: Context, jobs: list[Any]) -> None:
    line = listed(office, EVERY, 1, None)["items"][0]
    body, job = small_building(), jobs[-1]
    assert (line["reference"], line["number"], line["state"]) == ("R-2", job["number"], "open")
    assert (line["address"], line["client_name"]) == (body["site"]["address"], body["client"]["name"])
    assert (line["bags"], line["parts"], line["parts_done"]) == (job["takeoff"]["bags"], 2, 0)
    assert line["days"] == []


@pytest.mark.usefixtures("jobs")
@pytest.mark.parametrize(
    ("wanted", "number"),
    [
        (Wanted(state="open"), 3),
        (Wanted(state="closed"), 0),
        (Wanted(day=date(2026, 11, 25)), 0),
        (Wanted(crew=UUID(int=1)), 0),
    ],
    ids=["open", "closed", "on a day", "of a crew"],
)
def test_what_is_asked_for_binds(office: Context, wanted: Wanted, number: int) -> None:
    assert len(listed(office, wanted, 10, None)["items"]) == number
