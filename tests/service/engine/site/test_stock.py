from math import sqrt

import pytest

from service.engine.ground.uncertainty import Measured, Share
from service.engine.site.stock import reconciliation
from tests import site

BAG = site.bag(12.5, 0.1)


def reconciled(*entries, bag=BAG, **fields):
    basis = site.basis(bag, **fields)
    return reconciliation(
        ledger=site.ledger(*entries),
        bag=bag,
        spread_kg=0.0,
        uncertainties=basis.practice.uncertainties,
    )


def test_nothing_is_reconciled_until_somebody_says_what_came_and_what_was_left() -> None:
    assert reconciled(site.fill(bags=3)) is None
    assert reconciled(site.fill(bags=3), site.delivery(bags=3)) is None
    assert reconciled(site.fill(bags=3), site.delivery(left_over=0)) is None


def test_fills_are_gross_and_what_was_vacuumed_up_is_no_second_entry_of_it() -> None:
    """60 bags came, 50 were emptied, 10 are left: that 20 kg of it were vacuumed up changes nothing."""
    found = reconciled(*site.stock(60, 10, reclaimed_kg=20), site.fill(bags=50))
    assert (found.delivered_kg, found.emptied_kg, found.left_over_kg) == (750, 625, 125)
    assert (found.reclaimed_kg, found.blown_again_kg, found.difference_kg) == (20, 0, 0)
    assert found.reconciled


def test_spill_that_is_blown_again_came_once_and_was_emptied_twice() -> None:
    again = site.fill(mass_kg=20, from_spill=True)
    found = reconciled(*site.stock(60, 10, reclaimed_kg=20), site.fill(bags=50), again)
    assert (found.emptied_kg, found.blown_again_kg) == (645, 20)
    assert found.difference_kg == pytest.approx(0)


def test_what_was_sent_back_is_accounted_for() -> None:
    found = reconciled(*site.stock(60, 4), site.delivery(95, returned=6), site.fill(bags=50))
    assert (found.returned_bags, found.returned_kg, found.difference_kg) == (6, 75, 0)


def test_what_another_job_left_over_comes_by_weight() -> None:
    came = site.delivery(mass_kg=40, from_job="J-2026-0007")
    found = reconciled(*site.stock(60, 10), came, site.fill(bags=50), site.fill(mass_kg=40))
    assert (found.delivered_kg, found.delivered_bags) == (790, 60)
    assert found.difference_kg == pytest.approx(0)


def test_the_mass_of_a_bag_cancels_where_all_was_counted_in_bags() -> None:
    """0.1 kg a bag on 60 bags would be 6 kg; what stays is half a bag left over."""
    found = reconciled(*site.stock(60, 10), site.fill(bags=50))
    assert found.expanded_u_difference_kg == pytest.approx(2 * 12.5 * 0.5 / sqrt(3))
    assert found.expanded_u_delivered_kg == pytest.approx(2 * 60 * 0.1)


@pytest.mark.parametrize(
    ("missing_kg", "reconciles"), [(0, True), (12.3, True), (12.5, False), (-12.3, True), (-12.5, False)]
)
def test_a_difference_outside_u_is_not_reconciled(missing_kg: float, reconciles: bool) -> None:
    """U is 12.332 kg: k = 2, 50 bags of 0.1 kg in common, half a bag and a weighing of 0.05 kg."""
    found = reconciled(*site.stock(60, 10), site.fill(mass_kg=625 - missing_kg), scale_half_kg=0.05)
    assert found.expanded_u_difference_kg == pytest.approx(12.332, abs=5e-4)
    assert found.difference_kg == pytest.approx(missing_kg)
    assert found.reconciled is reconciles


def test_deliveries_and_spill_add_up_and_the_last_entry_says_what_is_left() -> None:
    first = (site.delivery(1, bags=40), site.delivery(2, left_over=22), site.reclaimed(5, 2))
    second = (site.delivery(3, bags=20), site.delivery(4, left_over=10), site.reclaimed(7, 4))
    found = reconciled(*second, *first)
    assert (found.delivered_bags, found.left_over_bags, found.reclaimed_kg) == (60, 10, 12)


def test_a_bag_check_with_the_same_scale_stays_correlated() -> None:
    """Every one of 60 bags is off by the scale's u, the weighing of what was emptied by the same."""
    bag = Measured(value=12.5, shares=(Share(name="scale", of="scale", u=0.03),))
    told = (*site.stock(60, 0), site.fill(mass_kg=750))
    found = reconciled(*told, bag=bag, scale_half_kg=0.03 * sqrt(3), bag_count_half=0.0)
    assert found.expanded_u_difference_kg == pytest.approx(2 * (60 - 1) * 0.03)
