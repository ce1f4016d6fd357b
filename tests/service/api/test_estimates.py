"""Estimates through the API: ranges before a survey, and a draft that is not offered before one."""

from typing import Any

import pytest

from tests.api import Api, building, problem

PARTS = [
    {"element": "wall", "area_m2": 120, "depth_mm": 360, "label": "Walls"},
    {"element": "attic", "area_m2": 90, "depth_mm": 380},
]
HEAD = {name: building()[name] for name in ("reference", "client", "site")}


@pytest.fixture(scope="module")
def database_url(sqlite_url: str) -> str:
    """One kind of database: the store's own tests have both."""
    return sqlite_url


def sent(api: Api, body: Any, path: str = "") -> Any:
    return api.send("POST", f"/v1/estimates{path}", body, role="sales")


def test_an_estimate_answers_ranges_that_say_what_they_rest_on(api: Api) -> None:
    before = api.send("GET", "/v1/quotes", role="sales").json
    found = sent(api, {"parts": PARTS}).json
    assert (found["practice"], found["material"], found["net"]["currency"]) == ("eu", "CF-STD", "EUR")
    units = {name: found[name]["unit"] for name in ("mass_kg", "bags", "crew_hours")}
    assert units == {"mass_kg": "kg", "bags": "bag", "crew_hours": "h"}
    for name in ("mass_kg", "bags", "crew_hours", "net", "total"):
        assert float(found[name]["least"]) < float(found[name]["usual"]) < float(found[name]["most"])
    assert [part["label"] for part in found["parts"]] == ["Walls", "P2"]
    assert "560" in found["parts"][0]["rests_on"]["text"]
    assert [each["code"] for each in found["needs"]] == ["plan.estimate_needs_survey"]
    assert api.send("GET", "/v1/quotes", role="sales").json == before


def test_a_draft_of_it_waits_for_its_survey(api: Api) -> None:
    answer = sent(api, {"parts": PARTS, **HEAD}, "/drafts")
    assert answer.status_code == 201, answer.text
    quote, path = answer.json, answer.headers["Location"]
    about = sent(api, {"parts": PARTS}).json
    assert quote["takeoff"]["mass_kg"] == about["mass_kg"]["usual"]
    assert quote["total"] == about["total"]["usual"]
    refused = problem(api.send("POST", f"{path}/offer", role="sales"), 409)
    assert refused["code"] == "quotes.estimated"
    kept = api.send("GET", f"{path}/working", role="sales").json
    assert {cavity["surveyed"] for cavity in kept["cavities"]} == {"estimated"}
    surveyed = [{**cavity, "surveyed": "drawn"} for cavity in kept["cavities"]]
    names = ("reference", "client", "site", "practice", "material", "currency", "language")
    body = {**{name: kept[name] for name in names}, "cavities": surveyed}
    tag = {"If_Match": answer.headers["ETag"]}
    changed = api.send("PUT", path, body, role="sales", **tag)
    assert changed.status_code == 200, changed.text
    assert api.send("POST", f"{path}/offer", role="sales").status_code == 200


def test_what_cannot_be_estimated_names_its_part(api: Api) -> None:
    thin = [PARTS[0], {"element": "attic", "area_m2": 90, "depth_mm": 100}]
    (fault,) = problem(sent(api, {"parts": thin}), 422)["errors"]
    assert fault["pointer"] == "/parts/1/depth_mm"
    (fault,) = problem(sent(api, {"parts": PARTS, "material": "CF-NONE"}), 422)["errors"]
    assert fault["pointer"] == "/material"
    assert "CF-STD" in fault["detail"]
