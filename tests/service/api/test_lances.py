"""Lances in use: anybody of the firm reads them, the office measures them."""

import pytest

from tests.api import Api, problem

BODY = {"length_mm": 2100, "diameter_mm": 42}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def test_the_office_adds_a_lance_and_measures_it_anew(api: Api) -> None:
    before = len(api.send("GET", "/v1/lances").json["items"])
    for length_mm in (2100, 2080):
        answer = api.send("PUT", "/v1/lances/S-2100", {**BODY, "length_mm": length_mm})
        assert answer.status_code == 200, answer.text
        assert answer.json["length_mm"] == length_mm
    listed = api.send("GET", "/v1/lances", role="installer").json["items"]
    assert len(listed) == before + 1
    (own,) = [lance for lance in listed if lance["code"] == "S-2100"]
    assert own["length_mm"] == 2080


def test_what_cannot_be_is_refused(api: Api) -> None:
    wrong = problem(api.send("PUT", "/v1/lances/S-1", {**BODY, "length_mm": 21}), 422)
    assert [each["pointer"] for each in wrong["errors"]] == ["/length_mm"]
    problem(api.send("PUT", "/v1/lances/S-1", BODY, role="installer"), 403)
    problem(api.send("PUT", "/v1/lances/S 1", BODY), 404)


def test_another_firms_lances_are_its_own(api: Api) -> None:
    api.send("PUT", "/v1/lances/OURS", BODY)
    theirs = Api(api.app, firm="other").send("GET", "/v1/lances").json["items"]
    assert "OURS" not in {lance["code"] for lance in theirs}
