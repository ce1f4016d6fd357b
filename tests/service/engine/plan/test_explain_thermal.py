"""Resistances and the U-value are explained course by course; corrections only where there are any."""

import pytest

from service.engine.ground.explanation import Explanation
from service.engine.heat.thermal import Stack
from service.engine.plan.explain_thermal import explain_thermal
from service.engine.survey.cavity import Cavity, Fasteners
from tests.arithmetic import evaluated
from tests.builders import board, material, stud_wall, wall, worked


def explained(cavity: Cavity) -> dict[str, Explanation]:
    """The explanations of a cavity's heat by the last parts of their pointers."""
    job = worked(cavity)
    found = explain_thermal(
        at="/c",
        surveyed=cavity,
        planned=job.found.cavities[0],
        material=material(),
        met=job.workings[0].of(Stack),
    )
    return {each.pointer.removeprefix("/c/thermal/"): each for each in found}


BATTENS = board(thickness_mm=40, timber_fraction=0.1)


@pytest.mark.parametrize(
    "cavity",
    [wall(), stud_wall(inside=(board(),)), wall(outside=(BATTENS,)), stud_wall(air_gap_level=2)],
    ids=["plain", "board", "battens", "gaps"],
)
def test_each_figure_is_what_its_arithmetic_gives(cavity: Cavity) -> None:
    for each in explained(cavity).values():
        if each.formula != "surface_resistance":
            assert float(evaluated(each)) == pytest.approx(each.value), each.pointer


def test_the_fill_is_its_depth_by_its_conductivity() -> None:
    """360 mm at 0.039 W/(m K)."""
    assert explained(wall())["r_fill"].value == pytest.approx(0.36 / 0.039)


def test_surfaces_stand_at_both_ends() -> None:
    """ISO 6946, 6.8, horizontal flow of heat: 0.13 and 0.04 m2 K/W (from memory)."""
    found = explained(wall())
    assert (found["rsi"].value, found["rse"].value) == (0.13, 0.04)


def test_a_correction_is_explained_where_there_is_one() -> None:
    steel = Fasteners(conductivity_w_mk=50, area_mm2=40, per_m2=6)
    assert "correction_w_m2k" not in explained(wall())
    for cavity in (wall(fasteners=steel), wall(air_gap_level=1)):
        assert explained(cavity)["correction_w_m2k"].value > 0


def test_a_layer_is_explained_by_what_is_known_of_it() -> None:
    layers = (board(), board(conductivity_w_mk=None, resistance_m2k_w=0.12), BATTENS)
    found = explained(wall(inside=layers)).values()
    formulas = {each.formula for each in found if "/resistance_m2k_w" in each.pointer}
    assert {"layer_resistance", "given_resistance", "bridged_resistance", "fill_course"} <= formulas
