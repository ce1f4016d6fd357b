"""Prices and practice as the last, but: one row is one small request, or a line of a CSV."""

from typing import Any

import pytest
from werkzeug.test import TestResponse

from service.api.sheets.csv_file import CSV
from tests.api import Api, problem, small_building

DAY = "2026-11-01"


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def change(api: Api, body: Any, path: str = "/v1/price-lists/EUR") -> TestResponse:
    return api.send("PATCH", path, body)


def in_force(api: Api, path: str = "/v1/price-lists", code: str = "currency", name: str = "EUR") -> Any:
    return [each for each in api.send("GET", path).json["items"] if each[code] == name][-1]


def by_csv(api: Api, text: str, path: str = "/v1/price-lists/EUR") -> TestResponse:
    headers = {"Authorization": f"Bearer {api.key('office')}", "Content-Type": CSV}
    return api.client.patch(path, data=text.encode(), headers=headers)


def test_one_changed_row_is_one_small_request(api: Api) -> None:
    before = in_force(api)
    sent = {"in_force_from": DAY, "code": "EUR-A", "material_per_kg": [{"code": "CF-STD", "price": "1.33"}]}
    answer = change(api, sent)
    assert answer.status_code == 201, answer.text
    prices = {row["code"]: row["price"] for row in answer.json["material_per_kg"]}
    assert prices == {**{row["code"]: row["price"] for row in before["material_per_kg"]}, "CF-STD": "1.33"}
    for name in ("blowing_per_hour", "extras", "source"):
        assert answer.json[name] == before[name]
    assert in_force(api)["code"] == "EUR-A"


def test_the_same_is_a_line_of_a_csv(api: Api) -> None:
    text = (
        "decimal mark;comma\nChanges\nin_force_from;2026-11-02\ncode;EUR-B\n"
        "material_per_kg/CF-STD/price;1,34\nblowing_per_hour;171,50\n"
    )
    answer = by_csv(api, text)
    assert answer.status_code == 201, answer.text
    assert answer.json["blowing_per_hour"] == "171.50"
    assert {row["code"]: row["price"] for row in answer.json["material_per_kg"]}["CF-STD"] == "1.34"
    (fault,) = problem(by_csv(api, text.replace("171,50", "dear")), 422)["errors"]
    assert fault["pointer"] == "/Changes/B6"
    (fault,) = problem(by_csv(api, text.replace("blowing_per_hour", "blowing")), 422)["errors"]
    assert fault["pointer"] == "/Changes/A6"


def test_practice_changes_the_same_way(api: Api) -> None:
    sent = {"in_force_from": DAY, "rates": {"set_up_h": 1.75, "methods": [{"method": "lance", "kg_h": 620}]}}
    answer = change(api, sent, "/v1/practice/eu")
    assert answer.status_code == 201, answer.text
    rates = {row["method"]: row["kg_h"] for row in answer.json["rates"]["methods"]}
    assert (rates["lance"], rates["hose"], answer.json["rates"]["set_up_h"]) == (620, 500, 1.75)


def test_what_is_wrong_is_said_where_it_was_sent(api: Api) -> None:
    sent = {"in_force_from": DAY, "extras": [{"code": "air_test", "unit_price": "dear"}]}
    assert [each["pointer"] for each in problem(change(api, sent), 422)["errors"]] == ["/extras/0/unit_price"]
    added = {"in_force_from": DAY, "extras": [{"code": "new", "unit_price": "5.00"}]}
    found = {each["pointer"] for each in problem(change(api, added), 422)["errors"]}
    assert found == {"/extras/0"}
    for wrong, at in (({}, "/in_force_from"), ({"in_force_from": "soon"}, "/in_force_from")):
        assert [each["pointer"] for each in problem(change(api, wrong), 422)["errors"]] == [at]
    unknown = {"in_force_from": DAY, "colour": "red"}
    assert [each["pointer"] for each in problem(change(api, unknown), 422)["errors"]] == ["/colour"]
    problem(change(api, sent, "/v1/price-lists/XTS"), 404)
    problem(change(api, [1]), 422)


def test_what_changes_nothing_is_refused(api: Api) -> None:
    same = {"in_force_from": "2026-11-20", "blowing_per_hour": in_force(api)["blowing_per_hour"]}
    assert problem(change(api, same), 409)["code"] == "firm.nothing_changed"


def test_a_list_of_a_day_gone_by_names_the_drafts_that_it_touches(api: Api) -> None:
    quote = api.send("POST", "/v1/quotes", small_building(), role="sales").json
    sent = {"in_force_from": "2026-11-10", "code": "EUR-C", "set_up": "301.00"}
    touched = change(api, sent).json["touches"]
    assert {"id": quote["id"], "reference": quote["reference"], "priced_on": "2026-11-25"} in touched
    later = {"in_force_from": "2027-11-10", "code": "EUR-D", "set_up": "302.00"}
    assert change(api, later).json["touches"] == []
    assert api.send("GET", f"/v1/quotes/{quote['id']}", role="sales").json["total"] == quote["total"]
