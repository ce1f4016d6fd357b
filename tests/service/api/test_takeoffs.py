"""Takeoffs through the API: the working behind the figures, other densities, the moisture indicator."""

import json

import pytest

from tests.api import DEMO, Api, building, small_building

pytestmark = pytest.mark.one_database

WINTER = {"inside_c": 20, "inside_rh_percent": 50, "outside_c": -5, "outside_rh_percent": 80}


def body(**changes: object) -> dict[str, object]:
    """A takeoff's body: a quote's without what only a quote has."""
    return {k: v for k, v in small_building(**changes).items() if k not in ("reference", "client")}


def at(document: object, pointer: str) -> object:
    """What stands at a JSON pointer (RFC 6901)."""
    for step in pointer.split("/")[1:]:
        document = document[int(step)] if isinstance(document, list) else document[step]
    return document


def test_a_takeoff_stores_nothing(api: Api) -> None:
    before = api.send("GET", "/v1/quotes", role="sales").json
    assert api.send("POST", "/v1/takeoffs", body(), role="sales").status_code == 200
    assert api.send("GET", "/v1/quotes", role="sales").json == before


def test_every_explained_figure_is_the_one_in_the_answer(api: Api) -> None:
    answer = api.send("POST", "/v1/takeoffs", body(explain=True), role="sales").json
    explained = answer["explanations"]
    assert len(explained) > 30
    for each in explained:
        assert float(at(answer, each["pointer"])) == pytest.approx(each["value"]), each["pointer"]
        assert each["provenance"]["source"]
        assert each["provenance"]["standing"]


def test_the_moisture_indicator_is_explained_with_the_rest(api: Api) -> None:
    climate = {"months": [WINTER] * 12, "source": "invented for the test", "standing": "declared"}
    wall = {**building()["cavities"][0]}
    wall["inside"] = [{"name": "Membrane", "sd_m": 5.0, "resistance_m2k_w": 0.01}]
    asked = body(cavities=[wall], climate=climate, explain=True)
    answer = api.send("POST", "/v1/takeoffs", asked, role="sales").json
    explained = [each for each in answer["explanations"] if each["pointer"].startswith("/moisture/0/")]
    assert {"dew_point", "saturation_pressure", "vapour_flow"} <= {each["formula"] for each in explained}
    for each in explained:
        assert at(answer, each["pointer"]) == pytest.approx(each["value"]), each["pointer"]


def test_a_us_wall_has_its_makers_r(api: Api) -> None:
    house = json.loads((DEMO / "building-us.json").read_text(encoding="utf-8"))
    posted = {name: value for name, value in house.items() if name not in ("reference", "client")}
    answer = api.send("POST", "/v1/takeoffs?working=true", posted, role="sales").json
    printed = {each["label"]: each["thermal"]["label_r"] for each in answer["cavities"]}
    assert (printed["North wall"], printed["Crawl space floor"], printed["Attic"]) == (13, 26, 49)
    deeper = {**posted["cavities"][0], "layers": [{"depth_mm": 100.0}]}
    path = "/v1/takeoffs?working=true"
    (wall,) = api.send("POST", path, {**posted, "cavities": [deeper]}, role="sales").json["cavities"]
    assert wall["thermal"]["label_r"] is None
    assert any(caution["code"] == "plan.no_closed_row" for caution in wall["cautions"])


def test_the_inputs_of_an_explanation_give_its_figure(api: Api) -> None:
    answer = api.send("POST", "/v1/takeoffs", body(explain=True), role="sales").json
    wall = {each["pointer"]: each for each in answer["explanations"]}["/cavities/0/mass_kg"]
    given = {each["name"]: each["value"] for each in wall["inputs"]}
    # Mass is density times volume, by hand.
    by_hand = given["target_kg_m3"] * (given["net_volume_m3"] + given["bulge_volume_m3"])
    assert wall["value"] == pytest.approx(by_hand, rel=5e-6)  # answers are rounded to six digits


def test_without_asking_there_is_no_working(api: Api) -> None:
    answer = api.send("POST", "/v1/takeoffs", body(), role="sales").json
    assert not {"explanations", "what_if", "moisture"} & answer.keys()
    assert all("geometry" not in line for line in answer["cavities"])


def test_a_takeoff_is_short_unless_its_working_is_asked_for(api: Api) -> None:
    short = api.send("POST", "/v1/takeoffs", body(), role="sales").json
    full = api.send("POST", "/v1/takeoffs?working=true", body(), role="sales").json
    for line, worked in zip(short["cavities"], full["cavities"], strict=True):
        assert line["mass_kg"] == worked["mass_kg"]
        assert line["u_value_w_m2k"] == worked["thermal"]["u_value_w_m2k"]
        assert line["cautions"] == [said["code"] for said in worked["cautions"]]
    whole = short.keys() - {"cavities", "cautions", "hold_points"}
    assert {name: short[name] for name in whole} == {name: full[name] for name in whole}
    assert set(short["hold_points"]) == {point["code"] for point in full["hold_points"]}
    for asked in ({"explain": True}, {"what_if": True}):
        assert "geometry" in api.send("POST", "/v1/takeoffs", body(**asked), role="sales").json["cavities"][0]
    assert api.send("POST", "/v1/takeoffs?working=yes", body(), role="sales").status_code == 422


def test_a_takeoff_takes_a_quotes_body_and_checks_all_of_it(api: Api) -> None:
    posted = small_building()
    assert {"reference", "client"} <= posted.keys()
    taken = api.send("POST", "/v1/takeoffs", posted, role="sales")
    assert taken.status_code == 200, taken.text
    assert posted["client"]["name"] not in taken.text
    assert taken.json == api.send("POST", "/v1/quotes", posted, role="sales").json["takeoff"]
    wrong = api.send("POST", "/v1/takeoffs", {**posted, "client": {"name": 5}}, role="sales")
    assert wrong.json["errors"][0]["pointer"] == "/client/name"


def test_other_densities_move_mass_bags_hours_and_price(api: Api) -> None:
    answer = api.send("POST", "/v1/takeoffs", body(what_if=True), role="sales").json
    (wall,) = answer["what_if"]
    assert wall["label"] == answer["cavities"][0]["label"]
    masses = [step["mass_kg"] for step in wall["steps"]]
    assert masses == sorted(masses)
    target = answer["cavities"][0]["density"]["target_kg_m3"]["value"]
    (planned,) = [step for step in wall["steps"] if step["target_kg_m3"] == target]
    assert planned["mass_kg"] == pytest.approx(answer["mass_kg"])
    assert planned["bags"] == answer["bags"]
    assert planned["hours"] == pytest.approx(answer["crew_hours"])
    assert planned["net"] == answer["price"]["net"]


def test_a_climate_gives_the_moisture_indicator_with_its_limits(api: Api) -> None:
    climate = {"months": [WINTER] * 12, "source": "invented for the test", "standing": "declared"}
    wall = {**building()["cavities"][0]}
    wall["inside"] = [{"name": "Membrane", "sd_m": 5.0, "resistance_m2k_w": 0.01}]
    answer = api.send("POST", "/v1/takeoffs", body(cavities=[wall], climate=climate), role="sales")
    (found,) = answer.json["moisture"]
    assert found["condensation"] in ("none", "dries", "remains")
    assert found["limits"]
    assert [point["where"] for point in found["profile"]]


def test_a_layer_without_vapour_data_is_named(api: Api) -> None:
    climate = {"months": [WINTER] * 12, "source": "invented for the test", "standing": "declared"}
    wall = {**building()["cavities"][0]}
    wall["inside"] = [{"name": "Board", "resistance_m2k_w": 0.05}]
    answer = api.send("POST", "/v1/takeoffs", body(cavities=[wall], climate=climate), role="sales")
    assert answer.status_code == 422
    assert answer.json["errors"][0]["pointer"].startswith("/cavities/0/inside/0/")
