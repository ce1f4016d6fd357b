"""Practice profiles by version: the office adds them, everybody of the firm reads them."""

import pytest

from tests.api import Api, problem
from tests.pointers import changed, demo

BODY = {**demo("practice/eu.json"), "in_force_from": "2026-11-01", "name": "From November on"}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def test_a_version_is_added_and_comes_back_as_it_was_posted(api: Api) -> None:
    answer = api.send("POST", "/v1/practice", BODY)
    assert answer.status_code == 201, answer.text
    listed = api.send("GET", "/v1/practice", role="installer").json["items"]
    (own,) = [item for item in listed if item["id"] == answer.json["id"]]
    assert own["name"] == "From November on"
    assert own["rates"] == answer.json["rates"]
    assert [rates["method"] for rates in own["rates"]["methods"]] == [
        rates["method"] for rates in BODY["rates"]["methods"]
    ]


def test_what_cannot_be_is_refused(api: Api) -> None:
    wrong = problem(api.send("POST", "/v1/practice", changed(BODY, "/rates/crew", 0)), 422)
    assert [each["pointer"] for each in wrong["errors"]] == ["/rates/crew"]
    problem(api.send("POST", "/v1/practice", BODY, role="signatory"), 403)
