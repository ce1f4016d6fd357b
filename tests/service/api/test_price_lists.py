"""Price lists: the office adds them, sales read them, crews see no prices."""

import pytest

from tests.api import Api, problem
from tests.pointers import changed, demo

BODY = {**demo("price-lists/eur-2026-10-01.json"), "in_force_from": "2026-12-01", "hole_each": "4.10"}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def test_a_list_takes_over_from_its_day_on(api: Api) -> None:
    answer = api.send("POST", "/v1/price-lists", BODY)
    assert answer.status_code == 201, answer.text
    assert answer.json["hole_each"] == "4.10"
    listed = api.send("GET", "/v1/price-lists", role="sales").json["items"]
    assert answer.json["id"] in {item["id"] for item in listed}
    assert len(listed) > 1


def test_what_cannot_be_is_refused(api: Api) -> None:
    wrong = problem(api.send("POST", "/v1/price-lists", changed(BODY, "/hole_each", 4.1)), 422)
    assert [each["pointer"] for each in wrong["errors"]] == ["/hole_each"]
    problem(api.send("POST", "/v1/price-lists", BODY, role="sales"), 403)
    problem(api.send("GET", "/v1/price-lists", role="installer"), 403)
