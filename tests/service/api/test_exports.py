"""Tables to take away: numbers are numbers, text is no formula, and only the asked days are in them."""

import csv
import io
from typing import Any

import pytest

from tests.api import Api, problem, small_building

DAYS = "since=2020-01-01&until=2099-12-31"


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: `store/test_exports.py` has both."""
    return sqlite_url


@pytest.fixture(scope="module")
def job(app: Any) -> Any:
    """A job with a certificate."""
    api = Api(app)
    body = small_building()
    body["client"] = {**body["client"], "name": "=cmd()"}
    job = api.worked(body)
    assert api.issue(job).status_code == 201
    return job


def exported(api: Api, kind: str, query: str = DAYS, separator: str = ",") -> list[dict[str, str]]:
    answer = api.send("GET", f"/v1/exports/{kind}?{query}", role="sales")
    assert answer.status_code == 200, answer.text
    assert answer.content_type == "text/csv; charset=utf-8" or answer.content_type == "text/csv"
    return list(csv.DictReader(io.StringIO(answer.text, newline=""), delimiter=separator))


def test_quotes_have_their_totals_as_numbers_and_text_that_is_no_formula(api: Api, job: Any) -> None:
    (row,) = exported(api, "quotes")
    quote = api.send("GET", f"/v1/quotes/{job['quote_id']}", role="sales").json
    assert (row["number"], row["total"], row["state"]) == (quote["number"], quote["total"], "accepted")
    assert row["client"] == "'=cmd()"
    (comma,) = exported(api, "quotes", f"{DAYS}&decimal_mark=comma", ";")
    assert comma["total"] == quote["total"].replace(".", ",")


def test_parts_are_those_of_the_job(api: Api, job: Any) -> None:
    rows = exported(api, "parts")
    planned = {each["label"]: each["mass_kg"] for each in job["takeoff"]["cavities"]}
    assert {row["label"]: float(row["mass_kg"]) for row in rows} == pytest.approx(planned, rel=1e-5)
    assert {row["job"] for row in rows} == {job["number"]}


def test_entries_are_all_that_was_recorded(api: Api, job: Any) -> None:
    rows = exported(api, "entries")
    recorded = api.send("GET", f"/v1/jobs/{job['id']}/entries").json["entries"]
    assert [row["id"] for row in rows] == [each["id"] for each in recorded]
    assert {row["kind"] for row in rows} == {each["kind"] for each in recorded}


def test_certificates_have_their_number(api: Api, job: Any) -> None:
    (row,) = exported(api, "certificates")
    (issued,) = api.send("GET", f"/v1/jobs/{job['id']}/certificates").json["items"]
    assert (row["number"], row["job"]) == (issued["number"], job["number"])


@pytest.mark.usefixtures("job")
def test_other_days_and_other_firms_are_not_in_them(api: Api) -> None:
    for kind in ("quotes", "parts", "entries", "certificates"):
        assert exported(api, kind, "since=2001-01-01&until=2001-12-31") == []
        assert exported(Api(api.app, firm="other"), kind) == []
    wrong = api.send("GET", "/v1/exports/quotes?since=2026-02-01&until=2026-01-01", role="sales")
    assert [each["pointer"] for each in problem(wrong, 422)["errors"]] == ["/until"]
