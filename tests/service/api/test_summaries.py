"""A month's summary through the API: quotes by state, jobs, planned against done, as JSON and as a table."""

import csv
import io
from typing import Any

import pytest

from tests.api import Api, problem, small_building

DAYS = "from=2020-01-01&to=2100-01-01"


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: `store/test_summaries.py` has both."""
    return sqlite_url


@pytest.fixture(scope="module")
def certified(app: Any) -> Any:
    """A job with a certificate, beside it a draft and an offer."""
    api = Api(app)
    job = api.worked()
    assert api.issue(job).status_code == 201
    api.quote(small_building(reference="SO-draft"))
    offer = api.quote(small_building(reference="SO-offer"))
    assert api.send("POST", f"/v1/quotes/{offer['id']}/offer").status_code == 200
    return job


def test_it_adds_up_what_was_quoted_and_done(api: Api, certified: Any) -> None:
    found = api.send("GET", f"/v1/summary?{DAYS}").json
    assert {each["state"]: each["quotes"] for each in found["quotes"]} == {
        "accepted": 1,
        "draft": 1,
        "offered": 1,
    }
    quote = api.send("GET", f"/v1/quotes/{certified['quote_id']}").json
    totals = {each["state"]: each["total"] for each in found["quotes"]}
    assert totals["accepted"] == quote["total"]
    assert (found["jobs"], found["jobs_certified"], found["jobs_open"]) == (1, 1, 0)
    compared = {each["what"]: each for each in found["compared"]}
    assert compared["kilograms"]["planned"] == pytest.approx(certified["takeoff"]["mass_kg"], rel=1e-5)
    assert compared["kilograms"]["real"] == pytest.approx(compared["kilograms"]["planned"], rel=0.2)
    assert compared["holes"]["real"] >= 1
    assert sum(lot["bags"] for lot in found["lots"]) >= 1
    assert found["learned"] == []


@pytest.mark.usefixtures("certified")
def test_as_a_table_it_has_the_same_figures(api: Api) -> None:
    answer = api.send("GET", f"/v1/exports/summary?{DAYS}")
    assert answer.content_type.startswith("text/csv")
    table = {(row["of"], row["figure"]): row["value"] for row in csv.DictReader(io.StringIO(answer.text))}
    assert table["jobs", "jobs_certified"] == "1"
    assert table["quotes accepted EUR", "quotes"] == "1"


def test_days_that_are_missing_or_end_before_they_begin_are_refused(api: Api) -> None:
    problem(api.send("GET", "/v1/summary?from=2026-01-01"), 422)
    problem(api.send("GET", "/v1/summary?from=2026-01-02&to=2026-01-01"), 422)
