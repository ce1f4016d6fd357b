"""Every way of filling says whether it works here and why, and what it takes."""

import math

import pytest

from service.engine.ground.vocabulary import Facing, Method
from service.engine.plan.options import MOST_HOLES, NOTHING, SOFT, Task, hole_list, hole_size, rates_of, way
from service.engine.survey.cavity import Cavity
from tests.builders import attic, lances, practice, stud_wall, wall, worked


def task(cavity: Cavity, **given: object) -> Task:
    return worked(cavity, **given).workings[0].of(Task)


@pytest.mark.parametrize(
    ("cavity", "method", "why_not"),
    [
        (attic(), Method.HOSE, "plan.fill_lies_open"),
        (attic(), Method.LANCE, "plan.fill_lies_open"),
        (stud_wall(), Method.OPEN_BLOW, "plan.cavity_is_closed"),
        (wall(), Method.HOSE, "plan.bays_spill"),
        (stud_wall(), Method.DIVIDED_BAYS, "plan.bays_closed_off_already"),
        (wall(facing=Facing.LINING), Method.DIVIDED_BAYS, "plan.lining_is_up"),
    ],
)
def test_a_way_that_does_not_work_says_why(cavity: Cavity, method: Method, why_not: str) -> None:
    found = way(task=task(cavity), method=method)
    assert (found.option.works, found.option.reason.code) == (False, why_not)
    assert found.option.hours is found.option.holes is None
    assert found.hours == math.inf
    assert hole_list(task=task(cavity), way=found) == ()


@pytest.mark.parametrize(
    ("cavity", "method"),
    [
        (attic(), Method.OPEN_BLOW),
        (stud_wall(), Method.HOSE),
        (wall(), Method.SEVERAL_HOSES),
        (wall(), Method.DIVIDED_BAYS),
        (wall(), Method.LANCE),
    ],
)
def test_a_way_that_works_has_its_hours_and_holes(cavity: Cavity, method: Method) -> None:
    wanted = task(cavity)
    found = way(task=wanted, method=method)
    assert found.option.works, found.option.reason
    assert found.option.hours == found.hours > 0
    assert found.option.holes == len(hole_list(task=wanted, way=found))


def test_an_open_blow_needs_no_hole_no_patch_and_no_tape() -> None:
    found = way(task=task(attic()), method=Method.OPEN_BLOW)
    assert (found.hole, found.patch, found.option.tape_m, found.option.holes) == (NOTHING, NOTHING, 0.0, 0)


def test_strips_stand_between_two_bays_from_end_to_end() -> None:
    """15 bays of 2.65 m have 14 members between them, with a metre of strip to the metre."""
    assert way(task=task(wall()), method=Method.DIVIDED_BAYS).option.strip_m == pytest.approx(14 * 2.65)
    assert way(task=task(wall(count=2)), method=Method.DIVIDED_BAYS).option.strip_m == pytest.approx(74.2)


def test_identical_cavities_take_as_many_times_the_holes() -> None:
    one, three = (way(task=task(stud_wall(count=count)), method=Method.HOSE).option for count in (1, 3))
    assert three.holes == 3 * one.holes
    assert three.tape_m == pytest.approx(3 * one.tape_m)


@pytest.mark.parametrize("facing", [Facing.MEMBRANE, Facing.NETTING, Facing.BOARD, Facing.LINING])
def test_a_lance_goes_through_a_slit_where_the_facing_is_soft(facing: Facing) -> None:
    rates = rates_of(practice=practice(), method=Method.LANCE)
    hole = hole_size(cavity=wall(facing=facing), rates=rates, slit_mm=200)
    assert hole.width_mm == rates.hole_mm
    assert hole.height_mm == (200 if facing in SOFT else rates.hole_mm)


def test_without_a_lance_there_is_no_way_with_one() -> None:
    assert way(task=task(wall(), lances=()), method=Method.LANCE).option.reason.code == "plan.no_lance"
    short = (lances()[0],)
    found = way(task=task(wall(layers=wall().layers, span_m=30.0), lances=short), method=Method.LANCE)
    assert found.option.lance in (None, short[0].code)


@pytest.mark.parametrize("method", Method)
def test_a_profile_has_rates_for_each_way(method: Method) -> None:
    assert rates_of(practice=practice(), method=method).method is method


def test_more_holes_than_a_wall_takes_are_a_slip_of_the_unit() -> None:
    assert MOST_HOLES > 100 * 15
