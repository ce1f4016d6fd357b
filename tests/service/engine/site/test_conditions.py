from dataclasses import replace

import pytest

from service.engine.ground.vocabulary import Answer, ConditionCode, Method, Surveyed
from service.engine.plan.hold_points import hold_points
from service.engine.site.conditions import (
    fill_conditions,
    hold_point_conditions,
    open_blow_conditions,
)
from service.engine.site.hold_point_findings import hold_point_findings
from service.engine.site.ledger import Ledger
from service.engine.survey.practice import Reading
from tests import builders, site
from tests.evidence import practice, shown

ATTIC = site.planned(builders.attic(surveyed=Surveyed.COUNTED))
ENOUGH = (360, 364, 356, 368, 352, 360)


def of_fills(cavity, *fills):
    found = shown(cavity, *fills)
    return [(each.code, each.subject) for each in fill_conditions(finding=found)]


def test_a_cavity_without_a_fill_is_one_condition() -> None:
    assert of_fills(builders.stud_wall()) == [(ConditionCode.FILL_MISSING, "W2")]
    assert of_fills(builders.attic()) == [(ConditionCode.FILL_MISSING, "A1")]


def test_every_separate_bay_without_a_fill_is_named() -> None:
    fills = [site.fill("W2", bay=bay, mass_kg=10) for bay in range(1, 9)]
    assert of_fills(builders.stud_wall(), *fills) == [
        (ConditionCode.FILL_MISSING, "W2/9"),
        (ConditionCode.FILL_MISSING, "W2/10"),
    ]


def test_a_closed_bay_without_a_fill_is_named_where_an_opening_has_no_place_too() -> None:
    """The mass balance is of the whole cavity then, in which one empty bay of ten may not show."""
    wall = builders.stud_wall(openings=(builders.opening(),))
    fills = [site.fill("W2", bay=bay, mass_kg=10) for bay in range(1, 10)]
    assert of_fills(wall, *fills) == [(ConditionCode.FILL_MISSING, "W2/10")]
    assert of_fills(wall, *fills, site.fill("W2", bay=10, mass_kg=10)) == []
    assert of_fills(wall, site.fill("W2", mass_kg=90)) == []


def test_bays_that_fill_moves_between_are_filled_together_beside_a_door() -> None:
    """A door parts the bays in two groups, a window without a place has them balanced as one."""
    door = builders.opening(width_m=1.0, height_m=2.56, left_m=3.0, sill_m=0.045)
    wall = builders.wall(openings=(door, builders.opening(width_m=0.3, height_m=0.3)))
    before = of_fills(wall, site.fill(bay=1, mass_kg=100))
    assert before
    assert {code for code, _ in before} == {ConditionCode.FILL_MISSING}
    beyond = int(before[0][1].rpartition("/")[2])
    assert of_fills(wall, site.fill(bay=1, mass_kg=100), site.fill(bay=beyond, mass_kg=100)) == []


def test_a_shared_compartment_is_filled_by_any_fill() -> None:
    assert of_fills(builders.wall(), site.fill(bay=1, mass_kg=10)) == []


def of_attic(mass_kg, *checks, fills=None):
    fill = site.fill("A1", mass_kg=mass_kg, method=Method.OPEN_BLOW, run_empty=True)
    found = shown(ATTIC.cavity, fill, *checks, profile=practice(weighing={"scale_half_kg": 1.0}))
    return tuple(
        open_blow_conditions(cavity="A1", finding=found.open_blow, decision=builders.practice().decision)
    )


def test_an_open_blow_that_has_it_all_has_no_condition() -> None:
    assert of_attic(813, site.depth_check(*ENOUGH, markers=3)) == ()


def test_depths_and_markers_are_asked_for() -> None:
    missing = of_attic(813, site.depth_check(370, 371, markers=1))
    assert [each.code for each in missing] == [
        ConditionCode.DEPTH_CHECK_MISSING,
        ConditionCode.MARKERS_MISSING,
    ]
    assert "2 of 6 depths" in site.words(missing[0].detail)
    assert "Measure 4 more depths" in site.words(missing[0].remedy)
    assert "1 of 3 thickness markers" in site.words(missing[1].detail)
    assert [each.code for each in of_attic(813)] == [each.code for each in missing]


@pytest.mark.parametrize(
    ("mass_kg", "code"),
    [(789.6, ConditionCode.DENSITY_INCONCLUSIVE), (760, ConditionCode.DENSITY_NON_CONFORMING)],
)
def test_too_little_mass_says_how_much_clears_it(mass_kg: float, code: ConditionCode) -> None:
    (found,) = of_attic(mass_kg, site.depth_check(*ENOUGH))
    assert (found.code, found.cavity, found.subject) == (code, "A1", "mass_per_area")
    more_kg = found.remedy.values["more"].value
    assert of_attic(mass_kg + more_kg + 0.1, site.depth_check(*ENOUGH)) == ()
    assert of_attic(mass_kg + more_kg - 0.1, site.depth_check(*ENOUGH)) != ()


@pytest.mark.parametrize(
    ("less_mm", "code"),
    [(6, ConditionCode.DENSITY_INCONCLUSIVE), (25, ConditionCode.DENSITY_NON_CONFORMING)],
)
def test_too_thin_says_which_mean_clears_it(less_mm: float, code: ConditionCode) -> None:
    (found,) = of_attic(813, site.depth_check(*(depth - less_mm for depth in ENOUGH)))
    assert (found.code, found.subject) == (code, "thickness")
    least_mm = found.remedy.values["least"].value
    assert 353 < least_mm < 360


def of_hold_points(*rules, built_year=2000, answers=(), fills=()):
    cavities, profile = (builders.wall(),), builders.practice(hold_points=rules)
    points = hold_points(cavities=cavities, practice=profile, built_year=built_year)
    ledger = Ledger(entries=(*answers, *fills)).in_order()
    found = hold_point_findings(hold_points=points, cavities=cavities, practice=profile, ledger=ledger)
    return tuple(hold_point_conditions(findings=found))


MOISTURE, WIRING, _ = builders.practice().hold_points


def test_no_concession_is_granted_for_a_hold_point_of_safety() -> None:
    found = of_hold_points(MOISTURE, replace(WIRING, safety=False), built_year=1900)
    assert [(each.code, each.cavity, each.subject, each.concedable) for each in found] == [
        (ConditionCode.HOLD_POINT_OPEN, "W1", "timber_moisture", False),
        (ConditionCode.HOLD_POINT_OPEN, None, "old_wiring", True),
    ]
    assert all("licensed trades" in site.words(each.remedy) for each in found)


def test_an_answered_hold_point_is_no_condition() -> None:
    assert of_hold_points(MOISTURE, answers=(site.check("timber_moisture", "W1"),)) == ()


def test_a_safety_hold_point_that_held_nothing_is_a_condition_that_the_office_may_concede() -> None:
    fills, answers = (site.fill(minute=10, mass_kg=20),), (site.check("timber_moisture", "W1", 25),)
    (found,) = of_hold_points(MOISTURE, answers=answers, fills=fills)
    assert (found.code, found.cavity, found.subject, found.concedable) == (
        ConditionCode.HOLD_POINT_LATE,
        "W1",
        "timber_moisture",
        True,
    )
    for each in ("answered at 23 Nov 2026, 08:25 UTC", "first fill was at 23 Nov 2026, 08:10 UTC"):
        assert each in site.words(found.detail)
    assert "correct the answer" in site.words(found.remedy)
    assert "licensed trades" in site.words(found.remedy)


def test_a_late_answer_is_no_condition_where_safety_does_not_hang_on_it() -> None:
    fills, answers = (site.fill(minute=10, mass_kg=20),), (site.check("timber_moisture", "W1", 25),)
    assert of_hold_points(replace(MOISTURE, safety=False), answers=answers, fills=fills) == ()


def test_a_stop_blocks_until_it_is_answered_anew() -> None:
    stop = site.check("timber_moisture", "W1", 10, answer=Answer.STOPPED, remark="Wet plate at the sill.")
    (found,) = of_hold_points(replace(MOISTURE, safety=False), answers=(stop,))
    assert (found.code, found.subject, found.concedable) == (
        ConditionCode.CHECK_STOPPED,
        "timber_moisture",
        False,
    )
    assert "Wet plate at the sill." in site.words(found.detail)
    assert of_hold_points(MOISTURE, answers=(stop, site.check("timber_moisture", "W1", 20))) == ()


def test_a_reading_that_was_asked_for_can_not_be_conceded_away() -> None:
    rule = replace(MOISTURE, reading=Reading(unit="%", most=20.0))
    (found,) = of_hold_points(rule, answers=(site.check("timber_moisture", "W1"),))
    assert (found.code, found.cavity, found.concedable) == (ConditionCode.READING_MISSING, "W1", False)
    assert of_hold_points(rule, answers=(site.check("timber_moisture", "W1", reading=18.0),)) == ()


def test_a_missing_fill_can_not_be_conceded() -> None:
    found = shown(ATTIC.cavity)
    (condition,) = fill_conditions(finding=found)
    assert not condition.concedable


def test_of_a_part_whose_every_bay_is_apart_nobody_is_told_to_fill_it() -> None:
    (condition,) = fill_conditions(finding=shown(ATTIC.cavity), nothing_to_fill=True)
    assert (condition.code, condition.concedable) == (ConditionCode.FILL_MISSING, False)
    assert "nothing of it to certify" in site.words(condition.detail)


def test_a_fill_of_nothing_is_no_fill() -> None:
    """A fill of 0 kg is taken and says nothing: the part is not filled."""
    assert of_fills(builders.wall(), site.fill(bay=1, mass_kg=0)) == [(ConditionCode.FILL_MISSING, "W1")]
