"""A data sheet is taken as the demo firm has it; rows that contradict one another are refused by pointer."""

from typing import Any

import pytest

from schemas.materials import MaterialBody, NamedMaterial
from service.engine.survey.practice import Material
from tests.pointers import GONE, changed, demo, refused, refused_without

SHEET = demo("materials/cf-std.json")
BODY = {name: value for name, value in SHEET.items() if name != "code"}


@pytest.mark.parametrize("name", ["cf-std", "cf-fine", "cf-us"])
def test_the_demo_firms_sheets_are_taken(name: str) -> None:
    assert refused(NamedMaterial(), demo(f"materials/{name}.json")) == set()


def test_a_sheet_comes_out_as_it_was_posted() -> None:
    schema = MaterialBody()
    assert schema.load(schema.dump(schema.load(BODY))) == schema.load(BODY)


def test_each_member_that_is_needed_is_missed_by_its_name() -> None:
    missed = refused_without(NamedMaterial(), SHEET)
    assert {"source", "standing", "code", "in_force_from", "densities"} <= missed.keys()
    assert missed == {name: {f"/{name}"} for name in missed}


DENSITY = {"element": "wall", "lowest_kg_m3": 50, "highest_kg_m3": 65}
CLOSED = {"depth_mm": 140, "label_r": 20, "lowest_kg_m3": 45, "highest_kg_m3": 60}


@pytest.mark.parametrize(
    ("pointer", "value", "wrong"),
    [
        ("/conductivity_w_mk", 39, "/conductivity_w_mk"),
        ("/conductivity_w_mk", "0.039", "/conductivity_w_mk"),
        ("/bag_kg", 0.5, "/bag_kg"),
        ("/settlement_percent", 61, "/settlement_percent"),
        ("/settled_kg_m3", 4.9, "/settled_kg_m3"),
        ("/in_force_from", "2026-13-01", "/in_force_from"),
        ("/standing", "known", "/standing"),
        ("/densities", [], "/densities"),
        ("/densities", [DENSITY, {**DENSITY, "lowest_kg_m3": 40}], "/densities"),
        ("/densities/0", {**DENSITY, "highest_kg_m3": 49}, "/densities/0/highest_kg_m3"),
        ("/densities/0", {**DENSITY, "target_kg_m3": 66}, "/densities/0/target_kg_m3"),
        ("/densities/0", {**DENSITY, "target_kg_m3": 49}, "/densities/0/target_kg_m3"),
        ("/conductivity_highest_kg_m3", 6, "/conductivity_highest_kg_m3"),
        ("/closed_chart", [{**CLOSED, "highest_kg_m3": 44}], "/closed_chart/0/highest_kg_m3"),
        ("/closed_chart", [CLOSED, {**CLOSED, "lowest_kg_m3": 60, "highest_kg_m3": 70}], "/closed_chart"),
        ("/hazards", [{"fr": "Poussière"}], "/hazards/0/fr/key"),
        ("/hazards", [{}], "/hazards/0"),
        ("/colour", "grey", "/colour"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any, wrong: str) -> None:
    assert refused(MaterialBody(), changed(BODY, pointer, value)) == {wrong}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/densities/0", {**DENSITY, "highest_kg_m3": 50, "target_kg_m3": 50}),
        ("/closed_chart", [CLOSED, {**CLOSED, "lowest_kg_m3": 61, "highest_kg_m3": 70}]),
        ("/closed_chart", [CLOSED, {**CLOSED, "depth_mm": 184}]),
        ("/hazards", []),
    ],
)
def test_what_touches_without_contradiction_is_taken(pointer: str, value: Any) -> None:
    assert refused(MaterialBody(), changed(BODY, pointer, value)) == set()


def test_a_chart_has_each_r_once() -> None:
    row = {"label_r": 19, "initial_mm": 155, "settled_mm": 131, "bags_per_100_m2": 36.7, "lowest_kg_m2": 4.59}
    assert refused(MaterialBody(), changed(BODY, "/chart", [row, row])) == {"/chart"}
    assert refused(MaterialBody(), changed(BODY, "/chart", [row, {**row, "label_r": 30}])) == set()


def test_the_sheet_is_read_into_all_that_the_engine_knows_of_a_material() -> None:
    assert NamedMaterial().fields.keys() - {"in_force_from"} == set(Material.__dataclass_fields__)


def test_no_code_is_posted_where_the_address_has_it() -> None:
    assert refused(MaterialBody(), SHEET) == {"/code"}
    assert refused(NamedMaterial(), changed(SHEET, "/code", GONE)) == {"/code"}
