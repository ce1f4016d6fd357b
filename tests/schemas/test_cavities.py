"""A survey in every shape travels: it is worked out, explained and shown as it was posted."""

import copy
from typing import Any

import pytest

from tests.api import Api, problem, small_building

GABLE: dict[str, Any] = {
    "label": "Gable",
    "element": "wall",
    "facing": "membrane",
    "width_m": 9.0,
    "span_m": 5.4,
    "profile_m": [[0, 2.6], [4.5, 5.4], [9, 2.6]],
    "surveyed": "counted",
    "layers": [
        {
            "depth_mm": 160,
            "framing": {
                "member_mm": 60,
                "members_at_m": [
                    0,
                    0.6,
                    1.2,
                    1.8,
                    2.4,
                    2.46,
                    3.6,
                    4.2,
                    4.8,
                    5.4,
                    6.0,
                    6.6,
                    7.2,
                    7.8,
                    8.4,
                    8.94,
                ],
                "plates_mm": 120,
            },
        },
        {"depth_mm": 100},
    ],
    "openings": [
        {
            "width_m": 1.0,
            "height_m": 1.2,
            "left_m": 4.0,
            "sill_m": 1.0,
            "trim_mm": 60,
            "reveal_mm": 18,
        }
    ],
    "displaced": [{"volume_m3": 0.04, "u_m3": 0.01, "bay": 3}, {"volume_m3": 0.02}],
    "inside": [
        {
            "name": "battens",
            "thickness_mm": 60,
            "conductivity_w_mk": 0.039,
            "timber_fraction": 0.1,
            "timber_conductivity_w_mk": 0.13,
        }
    ],
}


def takeoff(*cavities: dict[str, Any]) -> dict[str, Any]:
    body = {name: value for name, value in small_building().items() if name not in ("reference", "client")}
    return {**body, "cavities": list(cavities), "explain": True}


def changed(**changes: Any) -> dict[str, Any]:
    return {**copy.deepcopy(GABLE), **changes}


def test_a_survey_in_every_shape_is_worked_out_and_explained(api: Api) -> None:
    """By hand: the gable is 36 m2, the window 1.2 m2, its box 0.080496 m2."""
    found = api.send("POST", "/v1/takeoffs", takeoff(GABLE), role="sales")
    assert found.status_code == 200, found.json
    (cavity,) = found.json["cavities"]
    shape = cavity["geometry"]
    assert shape["gross_area_m2"] == pytest.approx(36.0)
    assert shape["net_area_m2"] == pytest.approx(34.8)
    assert shape["layers"][1]["net_area_m2"] == pytest.approx(36.0 - 1.036 * 1.236, rel=1e-5)
    assert shape["layers"][0]["members"] == 16
    assert cavity["thermal"]["u_value_w_m2k"] > 0
    explained = {each["formula"] for each in found.json["explanations"]}
    assert {"clear_area", "open_area", "bridged_resistance"} <= explained


def test_a_quote_shows_it_as_it_was_posted(api: Api) -> None:
    quote = api.send("POST", "/v1/quotes", {**small_building(), "cavities": [GABLE]}, role="office")
    assert quote.status_code == 201, quote.json
    full = api.send("GET", f"{quote.headers['Location']}/working", role="office")
    assert full.json["cavities"] == [GABLE]


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"profile_m": [[0, 2.6], [4.5, 5.5], [9, 2.6]]}, "profile_m/1/1"),
        ({"profile_m": [[0, 2.6], [4.5, 5.4], [8, 2.6]]}, "profile_m/2/0"),
        ({"profile_m": [[0, 2.6], [4.5, 5.4], [4.0, 3.0], [9, 2.6]]}, "profile_m/2/0"),
        ({"profile_m": [[0, 2.6]]}, "profile_m"),
        ({"profile_m": [[0, 2.6, 1], [9, 2.6]]}, "profile_m/0"),
        ({"profile_m": [[0, 0], [9, 0]]}, "profile_m"),
        ({"profile_m": [[0, 1.5], [9, 1.5]]}, "openings/0/height_m"),
        ({"openings": [{"width_m": 1, "height_m": 3}]}, "openings/0/sill_m"),
        ({"openings": [{"width_m": 1, "height_m": 1, "left_m": 1}]}, "openings/0/sill_m"),
        ({"displaced": [{"volume_m3": 0.1, "bay": 16}]}, "displaced/0/bay"),
        ({"displaced": [{"volume_m3": 100}]}, "displaced"),
        ({"surveyed": "guessed"}, "surveyed"),
        (
            {"layers": [{"depth_mm": 160, "framing": {"member_mm": 60, "members": 12}}]},
            "layers/0/framing/members",
        ),
        (
            {"layers": [{"depth_mm": 160, "framing": {"member_mm": 60, "members_at_m": [0, 8.95]}}]},
            "layers/0/framing/members_at_m/1",
        ),
        (
            {
                "layers": [
                    {"depth_mm": 160, "framing": {"member_mm": 60, "spacing_mm": 600, "runs": "across"}}
                ]
            },
            "layers/0/framing/runs",
        ),
        ({"inside": [{"name": "x", "resistance_m2k_w": 1, "timber_fraction": 0.1}]}, "inside/0/thickness_mm"),
        ({"count": 2001}, "count"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(api: Api, changes: dict[str, Any], pointer: str) -> None:
    refused = api.send("POST", "/v1/takeoffs", takeoff(changed(**changes)), role="sales")
    assert f"/cavities/0/{pointer}" in [each["pointer"] for each in problem(refused, 422)["errors"]]


def test_the_document_has_the_ranges_that_are_taken(api: Api) -> None:
    document = api.app.test_client().get("/openapi.json").json
    properties = document["components"]["schemas"]["Cavity"]["properties"]
    assert properties["layers"]["maxItems"] == 6
    assert properties["openings"]["maxItems"] == 50
    assert properties["count"]["maximum"] == 2000
    assert "points of x and height" in properties["profile_m"]["description"]
