"""Holes, patches, tape and a lance's reach are explained by what they were worked out from."""

import pytest

from service.engine.ground.explanation import Explanation
from service.engine.plan.explain_holes import explain_holes
from service.engine.plan.options import Way
from service.engine.survey.cavity import Cavity
from tests.arithmetic import evaluated
from tests.builders import attic, practice, stud_wall, wall, worked


def explained(cavity: Cavity) -> dict[str, Explanation]:
    """The explanations of a cavity's holes by the last part of their pointers."""
    job = worked(cavity)
    found = explain_holes(
        at="/c",
        planned=job.found.cavities[0],
        practice=practice(),
        way=job.workings[0].of(Way),
    )
    return {each.pointer.removeprefix("/c/fill_plan/"): each for each in found}


def given(each: Explanation, name: str) -> list[float]:
    return [one.value for one in each.inputs if one.name == name]


@pytest.mark.parametrize(
    "cavity", [wall(), stud_wall(), stud_wall(count=3)], ids=lambda c: f"{c.label}x{c.count}"
)
def test_each_figure_is_what_its_arithmetic_gives(cavity: Cavity) -> None:
    found = explained(cavity)
    assert {"holes", "patches", "patch_width_mm", "patch_height_mm", "tape_m"} <= found.keys()
    # Of a curved lance the expression names the arc and no more.
    for name in found.keys() - {"lance_reach_m"}:
        assert float(evaluated(found[name])) == pytest.approx(found[name].value), name


def test_holes_are_those_of_each_part_in_each_identical_cavity() -> None:
    """Ten bays, each its own: as many parts as bays, and three cavities of them."""
    holes = explained(stud_wall(count=3))["holes"]
    assert len(given(holes, "holes_of_part")) == 10
    assert holes.value == 3 * sum(given(holes, "holes_of_part"))


def test_a_patch_reaches_past_the_hole_all_round() -> None:
    patch = explained(stud_wall())["patch_width_mm"]
    (hole_mm,), (past_mm,) = given(patch, "hole_mm"), given(patch, "past_hole_mm")
    assert past_mm == practice().patching.past_hole_mm
    assert patch.value == hole_mm + 2 * past_mm


def test_a_lance_is_explained_where_one_is_used_and_nowhere_else() -> None:
    job = worked(wall())
    lance = job.found.cavities[0].fill_plan.lance
    assert ("lance_reach_m" in explained(wall())) is (lance is not None)
    assert explained(attic()) == {}
