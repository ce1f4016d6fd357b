"""Data sheets by version: the office adds them, older ones stay."""

import pytest

from tests.api import Api, problem
from tests.pointers import changed, demo

BODY = {name: value for name, value in demo("materials/cf-std.json").items() if name != "code"}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def test_a_new_version_stands_beside_the_older_ones(api: Api) -> None:
    for day in ("2026-06-01", "2026-12-01"):
        answer = api.send("PUT", "/v1/materials/NEW", {**BODY, "in_force_from": day})
        assert answer.status_code == 200, answer.text
        assert (answer.json["code"], answer.json["in_force_from"]) == ("NEW", day)
    listed = api.send("GET", "/v1/materials", role="sales").json["items"]
    assert [item["in_force_from"] for item in listed if item["code"] == "NEW"] == ["2026-06-01", "2026-12-01"]


def test_what_cannot_be_is_refused(api: Api) -> None:
    wrong = problem(api.send("PUT", "/v1/materials/NEW", changed(BODY, "/bag_kg", 0)), 422)
    assert [each["pointer"] for each in wrong["errors"]] == ["/bag_kg"]
    problem(api.send("PUT", "/v1/materials/NEW", BODY, role="sales"), 403)


def test_another_firms_sheets_are_its_own(api: Api) -> None:
    api.send("PUT", "/v1/materials/OURS", BODY)
    theirs = Api(api.app, firm="other").send("GET", "/v1/materials").json["items"]
    assert "OURS" not in {item["code"] for item in theirs}
