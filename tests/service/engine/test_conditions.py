from dataclasses import replace

import pytest

from service.engine.conditions import (
    fill_conditions,
    hold_point_conditions,
    open_blow_conditions,
    patch_conditions,
    stock_conditions,
)
from service.engine.findings import cavity_findings, hold_point_findings, penetration_findings
from service.engine.hold_points import hold_points
from service.engine.ledger import Ledger
from service.engine.mass_balance import net_blown
from service.engine.stock import reconciliation
from service.engine.vocabulary import ConditionCode, Method
from tests import builders, site

ATTIC = site.planned(builders.attic())
ENOUGH = (360, 364, 356, 368, 352, 360)


def of_fills(cavity, *fills):
    (found,) = cavity_findings(
        cavities=(site.planned(cavity),), ledger=Ledger(fills=fills), basis=site.basis()
    )
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


def test_a_shared_compartment_is_filled_by_any_fill() -> None:
    assert of_fills(builders.wall(), site.fill(bay=1, mass_kg=10)) == []


def of_attic(mass_kg, *checks, fills=None):
    fill = site.fill("A1", mass_kg=mass_kg, method=Method.OPEN_BLOW)
    (found,) = cavity_findings(
        cavities=(ATTIC,), ledger=Ledger(fills=(fill,), depth_checks=checks), basis=site.basis()
    )
    return tuple(
        open_blow_conditions(cavity="A1", finding=found.open_blow, decision=site.practice().decision)
    )


def test_an_open_blow_that_has_it_all_has_no_condition() -> None:
    assert of_attic(813, site.depth_check(*ENOUGH, markers=3)) == ()


def test_depths_and_markers_are_asked_for() -> None:
    missing = of_attic(813, site.depth_check(360, 361, markers=1))
    assert [each.code for each in missing] == [
        ConditionCode.DEPTH_CHECK_MISSING,
        ConditionCode.MARKERS_MISSING,
    ]
    assert "2 of 6 depths" in missing[0].detail
    assert "Measure 4 more depths" in missing[0].remedy
    assert "1 of 3 thickness markers" in missing[1].detail
    assert [each.code for each in of_attic(813)] == [each.code for each in missing]


@pytest.mark.parametrize(
    ("mass_kg", "code"),
    [(789.6, ConditionCode.DENSITY_INCONCLUSIVE), (760, ConditionCode.DENSITY_NON_CONFORMING)],
)
def test_too_little_mass_says_how_much_clears_it(mass_kg: float, code: ConditionCode) -> None:
    (found,) = of_attic(mass_kg, site.depth_check(*ENOUGH))
    assert (found.code, found.cavity, found.subject) == (code, "A1", "mass per area")
    more_kg = float(found.remedy.split("about ")[1].split(" kg")[0])
    assert of_attic(mass_kg + more_kg + 0.1, site.depth_check(*ENOUGH)) == ()
    assert of_attic(mass_kg + more_kg - 0.1, site.depth_check(*ENOUGH)) != ()


@pytest.mark.parametrize(
    ("less_mm", "code"),
    [(6, ConditionCode.DENSITY_INCONCLUSIVE), (25, ConditionCode.DENSITY_NON_CONFORMING)],
)
def test_too_thin_says_which_mean_clears_it(less_mm: float, code: ConditionCode) -> None:
    (found,) = of_attic(813, site.depth_check(*(depth - less_mm for depth in ENOUGH)))
    assert (found.code, found.subject) == (code, "thickness")
    least_mm = float(found.remedy.split("at least ")[1].split(" mm")[0])
    assert 353 < least_mm < 360


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


def test_only_safety_hold_points_can_never_be_waived() -> None:
    moisture, wiring, _ = builders.practice().hold_points
    profile = builders.practice(hold_points=(moisture, replace(wiring, safety=False)))
    points = hold_points(cavities=(builders.wall(),), practice=profile, built_year=1900)
    ledger = Ledger()
    found = tuple(hold_point_conditions(findings=hold_point_findings(hold_points=points, ledger=ledger)))
    assert [(each.code, each.cavity, each.subject, each.waivable) for each in found] == [
        (ConditionCode.HOLD_POINT_OPEN, "W1", "timber_moisture", False),
        (ConditionCode.HOLD_POINT_OPEN, None, "old_wiring", True),
    ]
    assert all("licensed trades" in each.remedy for each in found)


def test_an_answered_hold_point_is_no_condition() -> None:
    points = hold_points(cavities=(builders.wall(),), practice=builders.practice(), built_year=2000)
    ledger = Ledger(answers=(site.answer("timber_moisture", "W1"),))
    assert tuple(hold_point_conditions(findings=hold_point_findings(hold_points=points, ledger=ledger))) == ()


def of_stock(*stocks):
    basis = site.basis()
    blown = net_blown(fills=(site.fill(mass_kg=625),), basis=basis)
    found = reconciliation(
        stocks=stocks, blown=blown, bag=basis.bag, uncertainties=basis.practice.uncertainties
    )
    return tuple(stock_conditions(stock=found))


def test_stock_that_adds_up_is_no_condition() -> None:
    assert of_stock(site.stock(60, 10)) == ()


@pytest.mark.parametrize(
    ("stocks", "words"),
    [
        ((), "No stock is recorded."),
        ((site.stock(70, 10),), "125.0 kg are missing"),
        ((site.stock(50, 10),), "125.0 kg are too many"),
    ],
)
def test_stock_that_does_not_add_up_is_a_condition(stocks, words: str) -> None:
    (found,) = of_stock(*stocks)
    assert (found.code, found.cavity, found.waivable) == (ConditionCode.STOCK_UNRECONCILED, None, True)
    assert words in found.detail
