"""Holes in the facing: on record, and closed well."""

import pytest

from service.engine.ground.vocabulary import ConditionCode, Purpose
from service.engine.site.findings import cavity_findings, penetration_findings
from service.engine.site.ledger import Ledger
from service.engine.site.opening_conditions import patch_conditions, penetration_conditions
from tests import builders, site


def of_patches(penetrations=(), patches=()):
    ledger = Ledger(penetrations=penetrations, patches=patches).in_order()
    tags = {each.tag for each in penetrations}
    return tuple(
        patch_conditions(
            penetrations=penetration_findings(ledger=ledger),
            strays=tuple(each for each in patches if each.tag not in tags),
            patching=builders.practice().patching,
        )
    )


def test_an_open_penetration_can_never_be_waived() -> None:
    (found,) = of_patches((site.penetration("P1"),))
    assert (found.code, found.cavity, found.subject, found.waivable) == (
        ConditionCode.PATCH_MISSING,
        "W1",
        "P1",
        False,
    )
    assert "165 x 165 mm" in found.remedy


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "fits"), [(165, 165, True), (164.9, 170, False), (170, 160, False)]
)
def test_a_patch_reaches_50_mm_past_the_hole_all_round(width_mm: float, height_mm: float, fits: bool) -> None:
    """At least 50 mm beyond the hole all round: common practice."""
    found = of_patches((site.penetration("P1"),), (site.patch("P1", width_mm=width_mm, height_mm=height_mm),))
    assert [each.code for each in found] == ([] if fits else [ConditionCode.PATCH_TOO_SMALL])
    assert all(each.waivable for each in found)


@pytest.mark.parametrize(
    ("undone", "word"), [({"wiped": False}, "wiped"), ({"rubbed_down": False}, "rubbed down")]
)
def test_a_patch_that_was_not_wiped_or_rubbed_down_does_not_count(undone, word: str) -> None:
    (found,) = of_patches((site.penetration("P1"),), (site.patch("P1", **undone),))
    assert (found.code, found.waivable) == (ConditionCode.PATCH_MISSING, False)
    assert f"not {word}" in found.detail


def test_a_better_patch_clears_a_bad_one() -> None:
    patches = (site.patch("P1", 50), site.patch("P1", 10, width_mm=70))
    assert of_patches((site.penetration("P1"),), patches) == ()


def test_a_patch_over_nothing_is_not_lost() -> None:
    (found,) = of_patches(patches=(site.patch("P7"),))
    assert (found.code, found.cavity, found.subject) == (ConditionCode.PATCH_MISSING, None, "P7")


def of_record(*penetrations, holes=15, fills=None):
    """What is missing on a wall of 15 bays that was filled, by its planned holes and its penetrations."""
    planned = site.planned(builders.wall(), holes=holes)
    ledger = Ledger(
        fills=(site.fill(bay=1, mass_kg=20),) if fills is None else fills, penetrations=penetrations
    )
    (finding,) = cavity_findings(cavities=(planned,), ledger=ledger, basis=site.basis())
    found = penetration_findings(ledger=ledger)
    return tuple(penetration_conditions(planned=planned, finding=finding, penetrations=found))


def test_fill_does_not_come_through_a_facing_without_a_hole() -> None:
    (found,) = of_record()
    assert (found.code, found.cavity, found.subject, found.waivable) == (
        ConditionCode.PENETRATION_MISSING,
        "W1",
        "W1",
        True,
    )
    assert "15 holes" in found.detail
    assert "Record every hole" in found.remedy


def test_a_hole_of_the_same_cavity_clears_it_whatever_it_was_cut_for_but_a_sample() -> None:
    for purpose in Purpose:
        found = of_record(site.penetration(purpose=purpose))
        assert len(found) == (1 if purpose is Purpose.SAMPLE else 0)
    assert len(of_record(site.penetration(cavity="W2"))) == 1


def test_nothing_was_cut_where_nothing_was_blown_or_the_plan_has_no_hole() -> None:
    assert of_record(fills=()) == ()
    assert of_record(holes=0) == ()
