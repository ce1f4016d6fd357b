"""Events through the API: each kind, in its order, page by page, from what is done to a whole job."""

from typing import Any

import pytest
from flask import Flask

from tests.api import Api
from tests.full_job import full_job

pytestmark = pytest.mark.usefixtures("papers_plain")


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: `store/test_events.py` has both."""
    return sqlite_url


@pytest.fixture(scope="module")
def job(app: Flask) -> Any:
    """A job with two certificates of which the second was withdrawn."""
    return full_job(Api(app))


def listed(api: Api, **query: int) -> Any:
    asked = "&".join(f"{name}={value}" for name, value in query.items())
    return api.send("GET", f"/v1/events?{asked}", role="sales").json


def test_everything_that_happened_is_told_once_and_in_order(api: Api, job: Any) -> None:
    items = listed(api, limit=200)["items"]
    assert [each["position"] for each in items] == list(range(1, len(items) + 1))
    parts = [each for each in items if each["type"] == "job.part_done"]
    assert [each["type"] for each in items] == [
        "quote.offered",
        "quote.accepted",
        *["job.part_done"] * len(parts),
        "certificate.issued",
        "certificate.superseded",
        "certificate.issued",
        "certificate.withdrawn",
        "job.ready",
    ]
    assert {each["data"]["quote_id"] for each in items} == {job["quote_id"]}
    assert [each["data"]["parts_done"] for each in parts] == list(range(1, len(parts) + 1))
    entries = api.send("GET", f"/v1/jobs/{job['id']}/entries").json["entries"]
    assert {each["data"]["entry_id"] for each in parts} <= {entry["id"] for entry in entries}
    first, gone, second, withdrawn = items[-5:-1]
    assert gone["data"]["certificate_id"] == first["data"]["certificate_id"]
    assert gone["data"]["superseded_by"] == second["data"]["certificate_id"]
    assert withdrawn["data"]["certificate_id"] == second["data"]["certificate_id"]
    assert [each["data"]["state"] for each in items[-5:]] == [
        "in_force",
        "superseded",
        "in_force",
        "withdrawn",
        job["state"],
    ]


@pytest.mark.usefixtures("job")
def test_a_page_leads_to_the_next_one(api: Api) -> None:
    whole = listed(api, limit=200)
    assert whole["next"] is None
    found, after = [], 0
    while after is not None:
        answer = api.send("GET", f"/v1/events?after={after}&limit=3", role="sales")
        found += answer.json["items"]
        after = answer.json["next"]
        assert ("Link" in answer.headers) == (after is not None)
    assert found == whole["items"]
    last = whole["items"][-1]["position"]
    assert listed(api, after=last) == {"items": [], "next": None}


@pytest.mark.usefixtures("job")
def test_another_firm_has_its_own(api: Api) -> None:
    assert listed(Api(api.app, firm="other")) == {"items": [], "next": None}
