"""A practice profile is taken as the demo firm has it; what leaves its work open is refused by pointer."""

from typing import Any

import pytest

from schemas.practice import PracticeBody
from service.engine.ground.vocabulary import Method
from service.engine.survey.practice import LEAST_GUARD_FACTOR, Practice
from tests.pointers import GONE, changed, demo, refused, refused_without

BODY = demo("practice/eu.json")


@pytest.mark.parametrize("name", ["eu", "us"])
def test_the_demo_firms_profiles_are_taken(name: str) -> None:
    assert refused(PracticeBody(), demo(f"practice/{name}.json")) == set()


def test_a_profile_comes_out_as_it_was_posted() -> None:
    schema = PracticeBody()
    assert schema.load(schema.dump(schema.load(BODY))) == schema.load(BODY)


def test_each_member_that_is_needed_is_missed_by_its_name() -> None:
    missed = refused_without(PracticeBody(), BODY)
    assert {"source", "standing", "sampling", "decision", "rates", "hold_points"} <= missed.keys()
    assert missed == {name: {f"/{name}"} for name in missed}


@pytest.mark.parametrize("part", ["sampling", "decision", "rates", "patching"])
def test_each_part_says_where_it_comes_from(part: str) -> None:
    for name in ("source", "standing"):
        wrong = f"/{part}/{name}"
        assert refused(PracticeBody(), changed(BODY, wrong, GONE)) == {wrong}


@pytest.mark.parametrize("method", Method)
def test_each_method_has_its_one_row_of_rates(method: Method) -> None:
    rows = BODY["rates"]["methods"]
    (own,) = [row for row in rows if row["method"] == method]
    others = [row for row in rows if row["method"] != method]
    for wrong in (others, [*rows, own]):
        assert refused(PracticeBody(), changed(BODY, "/rates/methods", wrong)) == {"/rates/methods"}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/market", "uk"),
        ("/waste_percent", 51),
        ("/marker_area_m2", 0),
        ("/hold_points", []),
        ("/hold_points/0/stage", "during"),
        ("/hold_points/0/text", {}),
        ("/hold_points/0/built_before", 96),
        ("/sampling/at_least_depths", 5),
        ("/sampling/last_bay", 1),
        ("/decision/conforming_from", 0.49),
        ("/decision/conforming_from", 1),
        ("/decision/non_conforming_to", 0),
        ("/decision/guard_factor", LEAST_GUARD_FACTOR - 0.001),
        ("/rates/crew", 0),
        ("/rates/hole_h", -0.1),
        ("/patching/roll_mm", 9),
        ("/bands/0/element", "cellar"),
        ("/bands/0/lowest_kg_m3", 550),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any) -> None:
    assert refused(PracticeBody(), changed(BODY, pointer, value)) == {pointer}


def test_strips_side_by_side_lap_by_less_than_the_roll_is_wide() -> None:
    roll_mm = BODY["patching"]["roll_mm"]
    for lap_mm, wrong in ((roll_mm, {"/patching/lap_mm"}), (roll_mm - 1, set())):
        assert refused(PracticeBody(), changed(BODY, "/patching/lap_mm", lap_mm)) == wrong


@pytest.mark.parametrize(
    ("reading", "wrong"),
    [
        ({"unit": "%", "most": 19}, set()),
        ({"unit": "%", "least": None, "most": 19}, set()),
        ({"unit": "%"}, {"/hold_points/0/reading/most"}),
        ({"unit": "%", "least": None, "most": None}, {"/hold_points/0/reading/most"}),
        ({"most": 19}, {"/hold_points/0/reading/unit"}),
    ],
)
def test_a_reading_is_held_against_something(reading: dict[str, Any], wrong: set[str]) -> None:
    assert refused(PracticeBody(), changed(BODY, "/hold_points/0/reading", reading)) == wrong


@pytest.mark.parametrize("group", ["survey", "weighing", "reading", "sample"])
def test_a_group_of_uncertainties_is_declared_whole_or_not_at_all(group: str) -> None:
    declared = demo("practice/eu.json")["uncertainties"]
    assert refused(PracticeBody(), changed(BODY, f"/uncertainties/{group}", GONE)) == set()
    for name in declared[group]:
        pointer = f"/uncertainties/{group}/{name}"
        assert refused(PracticeBody(), changed(BODY, pointer, GONE)) == {pointer}


@pytest.mark.parametrize(
    "pointer",
    [
        "/uncertainties/survey/counted/depth_mm",
        "/uncertainties/reading/ruler_half_mm",
        "/uncertainties/sample/core_diameter_half_mm",
        "/uncertainties/sample/block_side_half_mm",
        "/uncertainties/sample/box_volume_rel_half",
    ],
)
def test_nobody_measures_without_error(pointer: str) -> None:
    """JCGM 100, 4.3: what is read off an instrument is never exact."""
    assert refused(PracticeBody(), changed(BODY, pointer, 0)) == {pointer}


def test_the_profile_is_read_into_all_that_the_engine_knows_of_a_practice() -> None:
    assert PracticeBody().fields.keys() - {"in_force_from"} == set(Practice.__dataclass_fields__)
