"""A job is found ready by a worker, told once, and again only after it was not."""

from typing import Any
from uuid import UUID, uuid4

import pytest
from flask import Flask
from sqlalchemy import select

from service.store.session import reading
from service.store.tables import jobs, tasks
from service.usecases.work import assessments, ready
from tests.api import Api, day_of, operator_of

pytestmark = pytest.mark.usefixtures("papers_plain")


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: what is asked of it is tried on both in the store."""
    return sqlite_url


@pytest.fixture
def worked(app: Flask) -> Any:
    """A job that waits for nothing but its stock."""
    api = Api(app)
    job = api.job()
    for batch in day_of(job):
        kept = [entry for entry in batch if "left_over" not in entry]
        assert not kept or api.record(job, kept).status_code == 201
    return job


def ready_since(api: Api, job: Any) -> Any:
    with operator_of(api.app) as database, reading(database) as connection:
        found = select(jobs.c.ready_since).where(jobs.c.id == UUID(job["id"]))
        return connection.execute(found).scalar_one()


def told(api: Api, job: Any) -> int:
    items = api.send("GET", "/v1/events?limit=200").json["items"]
    return sum(each["type"] == "job.ready" and each["data"]["job_id"] == job["id"] for each in items)


def test_it_is_told_when_nothing_stands_in_the_way_any_more(api: Api, worked: Any) -> None:
    api.wait()
    assert (ready_since(api, worked), told(api, worked)) == (None, 0)
    grant = {"condition": "stock_unreconciled", "reason": "No scale.", "granted_by": "The office"}
    assert api.send("POST", f"/v1/jobs/{worked['id']}/concessions", grant).status_code == 201
    assert told(api, worked) == 0
    api.wait()
    assert ready_since(api, worked)
    assert told(api, worked) == 1
    # Something more is said, and it is as ready as before.
    api.wait()
    assert told(api, worked) == 1
    # A hold point that stops the work.
    code = worked["takeoff"]["hold_points"][-1]["code"]
    stop = {"kind": "check", "id": str(uuid4()), "by": "Crew 1", "happened_at": "2026-11-25T17:00:00Z"}
    point = next(each for each in worked["takeoff"]["hold_points"] if each["code"] == code)
    part = {"cavity": point["cavity"]} if point["single"] and point["cavity"] else {}
    answer = api.record(worked, [{**stop, **part, "code": code, "answer": "stopped", "remark": "Wet."}])
    assert answer.status_code == 201, answer.text
    api.wait()
    assert (ready_since(api, worked), told(api, worked)) == (None, 1)


def test_where_a_part_was_not_spoken_of_nothing_is_assessed(
    api: Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = api.job()
    assert api.record(job, day_of(job)[0]).status_code == 201

    def never(_: Any) -> None:
        raise AssertionError("it was assessed")

    monkeypatch.setattr(ready, "assessed", never)
    api.wait()
    with operator_of(api.app) as database, reading(database) as connection:
        assert connection.execute(select(tasks)).all() == []


def test_what_was_found_of_before_is_dropped_and_looked_at_again(
    api: Api, worked: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The office grants what is missing while a worker is at the assessment of before."""
    path = f"/v1/jobs/{worked['id']}/concessions"
    grant = {"condition": "stock_unreconciled", "reason": "No scale.", "granted_by": "The office"}
    looked: list[bool] = []

    def assessed(evidence: Any) -> Any:
        if not looked:
            looked.append(True)
            assert api.send("POST", path, grant).status_code == 201
        return assessments.assessed(evidence)

    monkeypatch.setattr(ready, "assessed", assessed)
    api.wait()
    assert looked
    assert told(api, worked) == 1
