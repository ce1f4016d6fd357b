"""What decides a certificate and is not vouched for: by hand, from profile and sheet."""

from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import Element, Facing, Fill, Standing
from service.engine.plan.hold_points import hold_points
from service.engine.plan.undeclared import undeclared
from service.engine.survey.practice import Bulge, DensityBand, Practice, Reading
from service.engine.survey.uncertainties import ESTIMATED, ESTIMATES, READING
from tests.builders import attic, material, practice, stud_wall


def declared() -> Practice:
    """A profile of which every figure is the firm's own, without bands and bulges."""
    return practice(bands=(), bulges=())


def pointers(profile: Practice, *cavities, sheet=None, **asked) -> list[str]:
    found = undeclared(practice=profile, material=sheet or material(), cavities=cavities, **asked)
    return [each.pointer for each in found]


def test_a_firm_that_declares_what_it_works_by_lacks_nothing():
    assert pointers(declared(), stud_wall(), attic()) == []


def test_estimates_in_the_place_of_a_firms_own_figures_are_named_each_once():
    profile = replace(declared(), uncertainties=ESTIMATES)
    found = undeclared(
        practice=profile, material=material(), cavities=(stud_wall(), attic(), attic(label="A2"))
    )
    assert [each.pointer for each in found] == [
        "/uncertainties/survey",
        "/uncertainties/weighing",
        "/uncertainties/sample",
        "/uncertainties/reading",
    ]
    assert {each.pointer: each.cavities for each in found} == {
        "/uncertainties/survey": ("W2", "A1", "A2"),
        "/uncertainties/weighing": ("W2", "A1", "A2"),
        "/uncertainties/sample": ("W2",),
        "/uncertainties/reading": ("A1", "A2"),
    }
    assert {each.source for each in found} == {ESTIMATED}
    assert {each.standing for each in found} == {Standing.FROM_MEMORY}


def test_only_what_decides_the_cavities_at_hand_is_asked_for():
    profile = replace(declared(), uncertainties=ESTIMATES)
    assert pointers(profile, stud_wall(facing=Facing.BOARD))[-1] == "/uncertainties/sample"
    assert "/uncertainties/sample" not in pointers(profile, attic())


@pytest.mark.parametrize(
    ("standing", "named"),
    [
        (Standing.COMMON_PRACTICE, ["/bands/0"]),  # it sets a bound, and nobody answers for it
        (Standing.PUBLISHED, []),
        (Standing.DECLARED, []),
        (Standing.FROM_MEMORY, []),  # it advises, and decides nothing
    ],
)
def test_a_band_is_named_where_it_sets_a_bound(standing, named):
    band = DensityBand(element=Element.WALL, lowest_kg_m3=50, source="a source", standing=standing)
    assert pointers(replace(declared(), bands=(band,)), stud_wall()) == named


def test_the_bulge_of_a_facing_in_use_and_a_sheet_from_memory():
    bulge = Bulge(facing=Facing.NETTING, bulge_mm=20, source="seen", standing=Standing.COMMON_PRACTICE)
    profile = replace(declared(), bulges=(bulge,))
    assert pointers(profile, stud_wall(facing=Facing.NETTING)) == ["/bulges/0"]
    assert pointers(profile, stud_wall(facing=Facing.BOARD)) == []
    remembered = material(standing=Standing.FROM_MEMORY)
    assert pointers(declared(), stud_wall(), sheet=remembered) == ["/material"]


def test_a_bulge_that_somebody_read_is_as_wrong_as_the_reading_whatever_the_profile_expects():
    profile = replace(declared(), uncertainties=replace(practice().uncertainties, reading=READING))
    assert pointers(profile, stud_wall(facing=Facing.BOARD)) == []
    assert pointers(profile, stud_wall(facing=Facing.BOARD), bulge_read={"W2"}) == ["/uncertainties/reading"]


def test_the_fastest_rate_decides_what_was_typed_in_one_sitting():
    known = practice().rates
    heard = {"source": "heard", "standing": Standing.SECOND_HAND}
    for place, named in ((3, ["/rates/methods/3"]), (0, [])):  # the lance, 600 kg/h; a hose, 350 kg/h
        rows = tuple(replace(row, **heard) if at == place else row for at, row in enumerate(known.methods))
        assert pointers(replace(declared(), rates=replace(known, methods=rows)), stud_wall()) == named


@pytest.mark.parametrize(
    ("standing", "named"), [(Standing.FROM_MEMORY, ["/hold_points/0"]), (Standing.DECLARED, [])]
)
def test_the_limit_of_a_reading_that_is_asked_for(standing, named):
    """Beyond it a hold point is not clear; a point without a number decides nothing by a figure."""
    moisture, wiring, _ = practice().hold_points
    limited = replace(
        moisture,
        reading=Reading(unit="%", most=20),
        fills=(Fill.DENSE,),
        standing=standing,
        source="a source",
    )
    profile = practice(bands=(), bulges=(), hold_points=(limited, replace(wiring, standing=standing)))
    cavities = (stud_wall(), attic())
    asked = hold_points(cavities=cavities, practice=profile, built_year=None)
    found = undeclared(practice=profile, material=material(), cavities=cavities, hold_points=asked)
    assert [each.pointer for each in found] == named
    assert {each.cavities for each in found} <= {("W2",)}
    assert pointers(profile, *cavities) == []  # nobody asks for it
