from dataclasses import replace
from math import sqrt

import pytest

from service.engine.site.entries import Delivery, Reclaimed
from service.engine.site.evidence import basis_of, gathered
from service.engine.site.said import said
from service.engine.site.stock import reconciliations, whereabouts
from tests import builders, site
from tests.evidence import practice

SHEET = replace(builders.material(), bag_kg=14.0)


def of(*entries, **weighing):
    ledger = site.ledger(*entries)
    basis = basis_of(ledger=ledger, material=SHEET, practice=practice(weighing=weighing))
    return reconciliations(deliveries=ledger.of(Delivery), fills=ledger.fills, basis=basis)


def test_what_came_is_what_was_emptied_left_over_and_sent_back() -> None:
    """60 bags came, 50 were emptied, 4 sent back, 6 left: one of them may be open."""
    (found,) = of(
        site.delivery(bags=60, lot="L1"),
        site.fill(bags=50, minute=10),
        site.delivery(90, returned=4, left_over=6),
    )
    assert (found.delivered_kg, found.emptied_kg) == (60 * 14, 50 * 14)
    assert (found.returned_kg, found.left_over_kg) == (4 * 14, 6 * 14)
    assert found.difference_kg == pytest.approx(0)
    assert found.expanded_u_difference_kg == pytest.approx(2 * 7 / sqrt(3))
    assert found.reconciled


def test_a_bags_mass_cancels_but_for_the_bags_that_are_missing() -> None:
    """Five bags short: 70 kg and the error of five bags, not of sixty."""
    entries = (site.delivery(bags=60), site.fill(bags=55, minute=10), site.delivery(90, left_over=0))
    (found,) = of(*entries, bag_over_label_rel=0.03)
    assert found.difference_kg == pytest.approx(5 * 14 * 1.03)
    assert found.expanded_u_difference_kg == pytest.approx(2 * 5 * 0.42 / sqrt(3))
    assert not found.reconciled


def test_own_spill_is_blown_again_and_is_no_double_entry() -> None:
    """10 kg were vacuumed up and blown again: they were emptied twice and came once."""
    (found,) = of(
        site.delivery(bags=50),
        site.fill(bags=50, minute=10),
        site.reclaimed(10, minute=20),
        site.fill(mass_kg=10, from_spill=True, minute=30),
        site.delivery(90, left_over=0),
    )
    assert (found.emptied_kg, found.blown_again_kg) == pytest.approx((710, 10))
    assert found.difference_kg == pytest.approx(0)


def test_another_jobs_spill_came_as_a_delivery() -> None:
    (found,) = of(
        site.delivery(mass_kg=30, from_job="J-1"),
        site.fill(mass_kg=30, from_spill=True, minute=30),
        site.delivery(90, left_over=0),
    )
    assert (found.delivered_kg, found.blown_again_kg, found.difference_kg) == pytest.approx((30, 0, 0))


def test_lots_are_told_apart_where_all_name_theirs() -> None:
    one, other = of(
        site.delivery(bags=20, lot="A", left_over=0),
        site.delivery(bags=20, lot="B", left_over=5),
        site.fill(bags=20, lot="A", minute=10),
        site.fill(bags=12, lot="B", minute=20),
    )
    assert (one.lot, one.reconciled) == ("A", True)
    assert (other.lot, other.difference_kg, other.reconciled) == ("B", pytest.approx(3 * 14), False)


def test_they_are_one_where_a_fill_does_not_name_its_lot() -> None:
    (found,) = of(
        site.delivery(bags=20, lot="A"),
        site.delivery(bags=20, lot="B", left_over=5),
        site.fill(bags=35, minute=10),
    )
    assert (found.lot, found.reconciled) == (None, True)


def test_what_is_left_of_each_lot_adds_up_where_the_lots_are_one() -> None:
    (found,) = of(
        site.delivery(bags=20, lot="A"),
        site.delivery(bags=20, lot="B"),
        site.fill(bags=30, minute=10),
        site.delivery(90, lot="A", left_over=4),
        site.delivery(91, lot="B", left_over=6),
    )
    assert (found.left_over_bags, found.difference_kg) == (10, 0)


def test_materials_are_told_apart_and_each_counts_in_bags_of_its_own() -> None:
    """Four bags of 20 kg are missing and none of 14 kg, whatever their lots."""
    fine, standard = of(
        site.delivery(bags=20, lot="A"),
        site.delivery(bags=10, lot="B", material="CF-FINE"),
        site.delivery(bags=10, lot="C", material="CF-FINE"),
        site.bag_check(20, 20, 20, lot="B"),
        site.fill(bags=20, lot="A", minute=10),
        site.fill(bags=16, lot="B", minute=20),
        site.delivery(90, left_over=0),
        site.delivery(91, left_over=0, material="CF-FINE"),
    )
    assert (fine.material, fine.delivered_kg, fine.difference_kg) == ("CF-FINE", 400, pytest.approx(80))
    assert (standard.material, standard.delivered_kg, standard.difference_kg) == ("CF-STD", 280, 0)


@pytest.mark.parametrize("entries", [(), (site.delivery(bags=20),), (site.fill(bags=3),)])
def test_without_a_word_of_what_was_left_there_is_no_account(entries) -> None:
    assert of(*entries) == ()


def test_what_became_of_what_was_emptied() -> None:
    """30 bags of 14 kg: 5 kg vacuumed up, 3 dug out, nothing left in the machine, the rest in the walls."""
    entries = (
        site.fill(bags=30, minute=10),
        site.fill(bay=1, mass_kg=0.0, removed_kg=3, minute=20),
        site.reclaimed(5, minute=30),
        site.delivery(90, left_over=0),
    )
    ledger = site.ledger(*entries)
    basis = basis_of(ledger=ledger, material=SHEET, practice=practice())
    found = whereabouts(
        fills=ledger.fills,
        reclaimed=ledger.of(Reclaimed),
        found=gathered(cavities=(site.planned(builders.wall()),), said=said(ledger=ledger), basis=basis),
        basis=basis,
    )
    assert (found.emptied_kg, found.in_machine_kg) == pytest.approx((420, 0))
    assert (found.vacuumed_up_kg, found.taken_out_kg) == (5, 3)
    assert found.in_walls_kg == pytest.approx(420 - 5 - 3)
