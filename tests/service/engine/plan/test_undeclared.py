"""What decides a certificate and is not vouched for: by hand, from profile and sheet."""

from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import Element, Facing, Standing
from service.engine.plan.undeclared import undeclared
from service.engine.survey.practice import Bulge, DensityBand, Practice
from service.engine.survey.uncertainties import ESTIMATED, ESTIMATES
from tests.builders import attic, material, practice, stud_wall

OURS = {"source": "the firm", "standing": Standing.DECLARED}


def declared() -> Practice:
    """A profile of which every figure is the firm's own."""
    known = practice(bands=(), bulges=())
    errors = known.uncertainties
    return replace(
        known,
        sampling=replace(known.sampling, **OURS),
        patching=replace(known.patching, **OURS),
        uncertainties=replace(
            errors,
            survey=replace(errors.survey, **OURS),
            weighing=replace(errors.weighing, **OURS),
            reading=replace(errors.reading, **OURS),
            sample=replace(errors.sample, **OURS),
        ),
        **OURS,
    )


def pointers(profile: Practice, *cavities, sheet=None) -> list[str]:
    found = undeclared(practice=profile, material=sheet or material(), cavities=cavities)
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
