"""Holes in the facing: accounted for, and closed well."""

import pytest

from service.engine.ground.vocabulary import ConditionCode, Purpose
from service.engine.site.hole_conditions import hole_conditions
from service.engine.site.holes_made import holes_findings
from service.engine.site.holes_told import AddedHole, HolesMade, Patched
from tests import builders, site

PLANNED = site.planned(builders.wall(), holes=6)


def of(*entries, planned=PLANNED):
    profile = builders.practice()
    (found,) = holes_findings(cavities=(planned,), ledger=site.ledger(*entries), practice=profile)
    return tuple(hole_conditions(finding=found, largest=(65, 65), patching=profile.patching))


def codes(found):
    return [(each.code, each.subject) for each in found]


def test_a_part_done_as_planned_has_no_condition() -> None:
    assert of(site.tally(bags=30)) == ()


def test_holes_that_nobody_accounts_for_can_not_be_conceded() -> None:
    (found,) = of(site.tally(bags=30, holes=None))
    assert (found.code, found.cavity, found.concedable) == (ConditionCode.HOLES_UNACCOUNTED, "W1", False)
    assert "1–6" in site.words(found.detail)


def test_a_contradiction_of_holes_is_a_condition() -> None:
    found = of(site.tally(bags=30, holes=HolesMade(omitted=(6,))), site.hole(None, number=6))
    assert codes(found) == [(ConditionCode.HOLES_UNACCOUNTED, "W1")]


def test_a_part_was_filled_through_some_hole() -> None:
    """The wall is one space: one hole of it, planned or not, may have served all of its bays."""
    every = tuple(range(1, 7))
    (found,) = of(site.tally(bags=30, holes=HolesMade(omitted=every)))
    assert (found.code, found.concedable) == (ConditionCode.HOLES_UNACCOUNTED, False)
    assert "through which hole" in site.words(found.detail)
    assert of(site.tally(bags=30, holes=HolesMade(omitted=every[1:]))) == ()
    assert of(site.tally(bags=30, holes=HolesMade(omitted=every, added=(AddedHole(bay=3),)))) == ()


def test_each_bay_that_is_closed_off_was_filled_through_a_hole_of_its_own() -> None:
    closed_off = site.planned(builders.stud_wall(label="W1"), holes=6)
    assert len(closed_off.compartments) > 6
    (found,) = of(site.tally(bags=30, holes=HolesMade(omitted=(2, 3))), planned=closed_off)
    assert "2, 3" in site.words(found.detail)
    elsewhere = HolesMade(omitted=(2, 3), added=(AddedHole(bay=2), AddedHole(bay=3)))
    assert of(site.tally(bags=30, holes=elsewhere), planned=closed_off) == ()


def test_no_concession_is_granted_for_an_open_hole() -> None:
    (found,) = of(site.hole("P1"))
    assert (found.code, found.cavity, found.subject, found.concedable) == (
        ConditionCode.PATCH_MISSING,
        "W1",
        "P1",
        False,
    )
    (several,) = of(site.tally(bags=30, patched=Patched(all_but=(1, 2, 3))))
    assert (several.code, several.subject, several.concedable) == (ConditionCode.PATCH_MISSING, "W1", False)
    assert "1–3" in site.words(several.detail)


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "fits"), [(165, 165, True), (164.9, 170, False), (170, 160, False)]
)
def test_a_patch_reaches_50_mm_past_the_hole_all_round(width_mm: float, height_mm: float, fits: bool) -> None:
    """At least 50 mm beyond the hole all round: common practice."""
    found = of(site.hole("P1"), site.patch("P1", width_mm=width_mm, height_mm=height_mm))
    assert [each.code for each in found] == ([] if fits else [ConditionCode.PATCH_TOO_SMALL])
    assert all(each.concedable for each in found)


def test_the_patches_of_a_whole_part_are_held_against_its_largest_hole() -> None:
    found = of(site.tally(bags=30, patch_width_mm=120, patch_height_mm=170))
    assert codes(found) == [(ConditionCode.PATCH_TOO_SMALL, "W1")]


def test_and_against_those_that_came_besides() -> None:
    large = HolesMade(added=(AddedHole(bay=3, width_mm=120, height_mm=90),))
    found = of(site.tally(bags=30, holes=large, patch_width_mm=170, patch_height_mm=190))
    assert codes(found) == [(ConditionCode.PATCH_TOO_SMALL, "W1")]
    assert of(site.tally(bags=30, holes=large, patch_width_mm=220, patch_height_mm=190)) == ()


def test_no_number_of_cores_hides_how_a_part_was_patched() -> None:
    cores = [site.core(70, bay=bay) for bay in range(1, 7)]
    assert codes(of(site.tally(bags=30, wiped=False), *cores)) == [(ConditionCode.PATCH_MISSING, "W1")]


def test_sizes_that_nobody_gave_are_the_plans() -> None:
    assert of(site.hole("P1"), site.patch("P1", width_mm=None, height_mm=None, tape=None)) == ()


UNDONE = pytest.mark.parametrize(
    ("undone", "word"), [({"wiped": False}, "wiped"), ({"pressed_on": False}, "rubbed down")]
)


@UNDONE
def test_a_patch_that_was_not_wiped_or_rubbed_down_does_not_count(undone, word: str) -> None:
    for entries in ((site.hole("P1"), site.patch("P1", **undone)), (site.tally(bags=30, **undone),)):
        (found,) = of(*entries)
        assert (found.code, found.concedable) == (ConditionCode.PATCH_MISSING, False)
        assert f"not {word}" in site.words(found.detail)


@UNDONE
def test_a_bad_patch_over_one_of_the_holes_of_a_tally_is_not_covered_by_it(undone, word: str) -> None:
    (found,) = of(site.tally(bags=30), site.patch(None, number=3, minute=40, **undone))
    assert (found.code, found.subject) == (ConditionCode.PATCH_MISSING, "3")
    assert f"not {word}" in site.words(found.detail)


def test_a_better_patch_clears_a_bad_one() -> None:
    assert of(site.hole("P1"), site.patch("P1", minute=50), site.patch("P1", minute=10, width_mm=70)) == ()


def test_a_patch_over_nothing_is_not_lost() -> None:
    (found,) = of(site.patch("P7"))
    assert (found.code, found.subject, found.concedable) == (ConditionCode.PATCH_MISSING, "P7", False)


def test_a_core_without_a_word_of_its_hole_is_open() -> None:
    """It is told by its bay: nobody on a site knows the id of an entry."""
    core = site.core(70, bay=4, patched=None)
    assert codes(of(core)) == [(ConditionCode.PATCH_MISSING, core.id)]
    bad = of(core, site.patch(core.id, minute=70, width_mm=60, wiped=False))
    for found in (*of(core), *bad):
        assert "the sample in bay 4" in site.words(found.detail)
        assert core.id not in site.words(found.detail) + site.words(found.remedy)


@pytest.mark.parametrize("purpose", Purpose)
def test_every_hole_is_closed_whatever_it_is_for(purpose: Purpose) -> None:
    assert codes(of(site.hole("X", purpose=purpose))) == [(ConditionCode.PATCH_MISSING, "X")]


def test_a_part_that_is_filled_from_an_open_end_has_no_holes_to_account_for() -> None:
    open_end = site.planned(builders.wall())
    assert of(site.fill(mass_kg=100), planned=open_end) == ()
