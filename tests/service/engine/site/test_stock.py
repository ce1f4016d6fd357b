from math import sqrt

import pytest

from service.engine.ground.uncertainty import Measured, Share
from service.engine.site.mass_balance import net_blown
from service.engine.site.stock import reconciliation
from tests import site

BAG = site.bag(12.5, 0.1)


def reconciled(*stocks, fills=(), **fields):
    basis = site.basis(BAG, **fields)
    return reconciliation(
        stocks=stocks,
        blown=net_blown(fills=fills, basis=basis),
        bag=BAG,
        uncertainties=basis.practice.uncertainties,
    )


def test_without_an_entry_nothing_is_reconciled() -> None:
    assert reconciled(fills=(site.fill(bags=3),)) is None


def test_what_came_is_what_was_blown_left_over_and_bagged_again() -> None:
    """60 bags came; 50 bags less 20 kg of spill were blown, 10 bags are left, the spill was bagged."""
    found = reconciled(site.stock(60, 10, reclaimed_kg=20), fills=(site.fill(bags=50, removed_kg=20),))
    assert (found.delivered_kg, found.blown_kg, found.left_over_kg, found.reclaimed_kg) == (750, 605, 125, 20)
    assert found.difference_kg == pytest.approx(0)
    assert found.reconciled


def test_the_mass_of_a_bag_cancels_where_all_was_counted_in_bags() -> None:
    """0.1 kg a bag on 60 bags would be 6 kg; what stays is half a bag blown and half a bag left."""
    found = reconciled(site.stock(60, 10), fills=(site.fill(bags=50),))
    half_a_bag = 12.5 * 0.5 / sqrt(3)
    assert found.expanded_u_difference_kg == pytest.approx(2 * sqrt(2) * half_a_bag)
    assert found.expanded_u_delivered_kg == pytest.approx(2 * 60 * 0.1)


def test_the_mass_of_a_bag_stays_where_what_was_blown_was_weighed() -> None:
    """60 - 10 bags of 0.1 kg each in common, one weighing of 0.05/sqrt(3), half a bag left over."""
    found = reconciled(site.stock(60, 10), fills=(site.fill(mass_kg=625),), scale_half_kg=0.05)
    expected = sqrt((50 * 0.1) ** 2 + 0.05**2 / 3 + (12.5 * 0.5) ** 2 / 3)
    assert found.expanded_u_difference_kg == pytest.approx(2 * expected)


@pytest.mark.parametrize(
    ("missing_kg", "reconciles"), [(0, True), (12.3, True), (12.5, False), (-12.3, True), (-12.5, False)]
)
def test_a_difference_outside_u_is_not_reconciled(missing_kg: float, reconciles: bool) -> None:
    """U is 12.332 kg: k = 2, 50 bags of 0.1 kg in common, half a bag and a weighing of 0.05 kg."""
    found = reconciled(site.stock(60, 10), fills=(site.fill(mass_kg=625 - missing_kg),), scale_half_kg=0.05)
    assert found.expanded_u_difference_kg == pytest.approx(12.332, abs=5e-4)
    assert found.difference_kg == pytest.approx(missing_kg)
    assert found.reconciled is reconciles


def test_deliveries_and_reclaimed_spill_add_up_and_the_last_entry_says_what_is_left() -> None:
    found = reconciled(
        site.stock(40, 22, reclaimed_kg=5, minute=1), site.stock(20, 10, reclaimed_kg=7, minute=2)
    )
    assert (found.delivered_bags, found.left_over_bags, found.reclaimed_kg) == (60, 10, 12)


def test_a_bag_check_with_the_same_scale_stays_correlated() -> None:
    """Every one of 60 bags is off by the scale's u, the weighing of what was blown by the same."""
    bag = Measured(value=12.5, shares=(Share(name="scale", of="scale", u=0.03),))
    basis = site.basis(bag, scale_half_kg=0.03 * sqrt(3))
    found = reconciliation(
        stocks=(site.stock(60, 0),),
        blown=net_blown(fills=(site.fill(mass_kg=750),), basis=basis),
        bag=bag,
        uncertainties=site.uncertainties(bag_count_half=0.0),
    )
    assert found.expanded_u_difference_kg == pytest.approx(2 * (60 - 1) * 0.03)
