"""The firm's library of build-ups: versions by day, and cavities that name them in the place of layers."""

from typing import Any

import pytest

from tests.api import Api, building, problem, small_building
from tests.pointers import changed, demo

BODY = {name: value for name, value in demo("build-ups/ew-360.json").items() if name != "code"}
WALL = next(each for each in building()["cavities"] if each["label"] == "GF-N")


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def named(code: str = "EW-360", **more: Any) -> dict[str, Any]:
    """The demo's wall, with a name in the place of its layers."""
    own = {name: value for name, value in WALL.items() if name not in ("layers", "inside", "outside")}
    return {**own, "build_up": code, **more}


def test_a_new_version_stands_beside_the_older_ones(api: Api) -> None:
    for day in ("2026-06-01", "2026-12-01"):
        answer = api.send("PUT", "/v1/build-ups/NEW", {**BODY, "in_force_from": day})
        assert answer.status_code == 200, answer.text
    listed = api.send("GET", "/v1/build-ups", role="sales").json["items"]
    assert [item["in_force_from"] for item in listed if item["code"] == "NEW"] == ["2026-06-01", "2026-12-01"]
    problem(api.send("PUT", "/v1/build-ups/NEW", BODY, role="sales"), 403)
    wrong = problem(api.send("PUT", "/v1/build-ups/NEW", changed(BODY, "/layers/0/depth_mm", 0)), 422)
    assert [each["pointer"] for each in wrong["errors"]] == ["/layers/0/depth_mm"]


def test_a_named_build_up_is_worked_out_as_its_layers_are(api: Api) -> None:
    by_name = api.send("POST", "/v1/quotes", small_building(cavities=[named()]), role="sales").json
    by_hand = api.send("POST", "/v1/quotes", small_building(cavities=[WALL]), role="sales").json
    assert by_name["takeoff"] == by_hand["takeoff"]
    path = f"/v1/quotes/{by_name['id']}/working"
    (kept,) = api.send("GET", path, role="sales").json["cavities"]
    assert "build_up" not in kept
    assert [layer["depth_mm"] for layer in kept["layers"]] == [145, 120, 95]
    assert [layer["name"] for layer in kept["inside"]] == [layer["name"] for layer in WALL["inside"]]


def test_a_quote_keeps_the_layers_that_it_took_over(api: Api) -> None:
    api.send("PUT", "/v1/build-ups/MINE", BODY)
    body = small_building(cavities=[named("MINE")])
    quote = api.send("POST", "/v1/quotes", body, role="sales").json
    deeper = changed(BODY, "/layers/1/depth_mm", 160)
    assert api.send("PUT", "/v1/build-ups/MINE", deeper).status_code == 200
    assert api.send("GET", f"/v1/quotes/{quote['id']}", role="sales").json["takeoff"] == quote["takeoff"]
    (line,) = api.send("POST", "/v1/takeoffs", body, role="sales").json["cavities"]
    assert line["depth_mm"] == 400


def test_layers_come_from_one_place(api: Api) -> None:
    both = small_building(cavities=[named(layers=WALL["layers"])])
    wrong = problem(api.send("POST", "/v1/quotes", both, role="sales"), 422)
    assert [each["pointer"] for each in wrong["errors"]] == ["/cavities/0/layers"]
    none = {name: value for name, value in named().items() if name != "build_up"}
    wrong = problem(api.send("POST", "/v1/quotes", small_building(cavities=[none]), role="sales"), 422)
    assert [each["pointer"] for each in wrong["errors"]] == ["/cavities/0/layers"]


def test_a_build_up_that_is_not_in_force_names_those_that_are(api: Api) -> None:
    body = small_building(cavities=[WALL, named("EW-999")])
    (fault,) = problem(api.send("POST", "/v1/takeoffs", body, role="sales"), 422)["errors"]
    assert fault["pointer"] == "/cavities/1/build_up"
    assert "EW-360" in fault["detail"]
    assert "EW-360" in fault["values"]["known"]


def test_what_cannot_be_of_a_build_up_is_said_where_it_was_named(api: Api) -> None:
    # A wall narrower than its build-up's members can hold nothing.
    body = small_building(cavities=[named(width_m=0.06, openings=[])])
    found = problem(api.send("POST", "/v1/takeoffs", body, role="sales"), 422)["errors"]
    assert {each["pointer"] for each in found} <= {
        "/cavities/0/build_up",
        "/cavities/0/width_m",
        "/cavities/0",
    }
    assert found


def test_what_a_build_up_lacks_for_vapour_is_said_where_it_was_named(api: Api) -> None:
    dry = {"name": "Board", "thickness_mm": 12.5, "conductivity_w_mk": 0.25}
    assert api.send("PUT", "/v1/build-ups/DRY", {**BODY, "inside": [dry]}).status_code == 200
    month = {"inside_c": 20, "inside_rh_percent": 50, "outside_c": -5, "outside_rh_percent": 80}
    climate = {"months": [month] * 12, "source": "invented for the test", "standing": "declared"}
    body = small_building(cavities=[WALL, named("DRY", label="W9")], climate=climate)
    (fault,) = problem(api.send("POST", "/v1/takeoffs", body, role="sales"), 422)["errors"]
    assert (fault["pointer"], fault["code"]) == ("/cavities/1/build_up", "heat.vapour_missing")


def test_bays_of_a_build_up_are_counted_before_they_are_worked_out(api: Api) -> None:
    fine = changed(BODY, "/layers/0/framing", {"member_mm": 1, "spacing_mm": 2})
    assert api.send("PUT", "/v1/build-ups/FINE", fine).status_code == 200
    body = small_building(cavities=[named("FINE", width_m=500, openings=[], count=100)])
    (fault,) = problem(api.send("POST", "/v1/takeoffs", body, role="sales"), 422)["errors"]
    assert (fault["pointer"], fault["code"]) == ("/cavities", "quotes.too_many_bays")


def test_another_firms_build_ups_are_its_own(api: Api) -> None:
    api.send("PUT", "/v1/build-ups/OURS", BODY)
    stranger = Api(api.app, firm="other")
    theirs = stranger.send("GET", "/v1/build-ups").json["items"]
    assert "OURS" not in {item["code"] for item in theirs}
    body = small_building(cavities=[named("OURS")])
    problem(stranger.send("POST", "/v1/quotes", body, role="sales"), 422)
