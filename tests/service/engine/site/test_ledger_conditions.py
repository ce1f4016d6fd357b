"""What was said twice, and what nobody said."""

from datetime import UTC

import pytest

from service.engine.ground.vocabulary import BagsAre, ConditionCode
from service.engine.site.condition import Condition
from service.engine.site.entries import Delivery
from service.engine.site.evidence import basis_of
from service.engine.site.ledger_conditions import ledger_conditions, stock_conditions
from service.engine.site.materials import materials_of
from service.engine.site.stock import reconciliations
from tests import builders, site
from tests.evidence import practice

SPILL = site.reclaimed(0)


def of(*entries) -> list[Condition]:
    ledger = site.ledger(*entries)
    came = materials_of(ledger=ledger, offered="CF-STD")
    return list(ledger_conditions(ledger=ledger, materials=came))


def codes(found: list[Condition]) -> list[tuple[ConditionCode, str | None, str]]:
    return [(each.code, each.cavity, each.subject) for each in found]


TWICE = [(ConditionCode.COUNTED_TWICE, "W1", "W1")]


def test_a_tally_after_fills_says_what_its_bags_are() -> None:
    fill = site.fill(mass_kg=20)
    (found,) = of(SPILL, fill, site.tally(bags=3))
    assert codes([found]) == TWICE
    assert not found.concedable
    for told in BagsAre:
        assert of(SPILL, fill, site.tally(bags=3, bags_are=told)) == []


def test_a_tally_without_bags_or_before_the_fills_or_of_another_part_counts_nothing_twice() -> None:
    fill = site.fill(mass_kg=20)
    assert of(SPILL, fill, site.tally()) == []
    assert of(SPILL, site.tally(minute=30, bags=3), site.fill(minute=40, mass_kg=1)) == []
    assert of(SPILL, fill, site.tally("B1", bags=3)) == []
    assert of(SPILL, site.fill(mass_kg=0, removed_kg=2), site.tally(bags=3)) == []


def test_two_tallies_of_a_part_are_one_too_many_whatever_they_say() -> None:
    """Two phones tally the same part: it is stored, and it blocks until one of them is corrected."""
    first, second = site.tally(bags=3), site.tally(minute=31, bags=3, bags_are=BagsAre.BESIDES)
    assert codes(of(SPILL, first, second)) == TWICE
    assert codes(of(SPILL, first, second, site.tally(minute=32, bags=1))) == TWICE


def test_every_day_of_filling_has_a_word_of_its_spill() -> None:
    monday = site.fill(mass_kg=20, happened_at="2026-11-23T09:00:00Z")
    tuesday = site.fill(mass_kg=20, happened_at="2026-11-24T09:00:00Z")
    (found,) = of(SPILL, monday, tuesday)
    assert codes([found]) == [(ConditionCode.SPILL_MISSING, None, "2026-11-24")]
    assert not found.concedable
    none = site.reclaimed(0, happened_at="2026-11-24T16:00:00Z")
    assert of(SPILL, monday, tuesday, none) == []


def test_a_day_of_filling_is_one_although_a_total_was_told_on_the_next() -> None:
    monday = site.fill(mass_kg=20, happened_at="2026-11-23T09:00:00Z")
    tuesday = site.tally(mass_kg=40, bags_are=BagsAre.TOTAL, happened_at="2026-11-24T09:00:00Z")
    (found,) = of(site.reclaimed(0, happened_at="2026-11-24T16:00:00Z"), monday, tuesday)
    assert codes([found]) == [(ConditionCode.SPILL_MISSING, None, "2026-11-23")]


def test_what_is_vacuumed_up_the_next_morning_is_a_word_of_the_day_before() -> None:
    """As its kilograms are that day's: nobody has to say besides that there was nothing."""
    monday = site.fill(mass_kg=20, happened_at="2026-11-23T09:00:00Z")
    morning = site.reclaimed(3, happened_at="2026-11-24T07:00:00Z")
    assert of(monday, morning) == []
    tuesday = site.fill(mass_kg=20, happened_at="2026-11-24T09:00:00Z")
    assert codes(of(monday, morning, tuesday)) == [(ConditionCode.SPILL_MISSING, None, "2026-11-23")]


def test_the_day_is_that_of_the_site() -> None:
    """In the afternoon of a day in the west it is the next day in UTC."""
    fill = site.fill(mass_kg=20, happened_at="2026-11-23T09:00:00-08:00")
    late = site.reclaimed(1, happened_at="2026-11-23T17:30:00-08:00")
    assert late.at.astimezone(UTC).day == 24
    assert of(fill, late) == []


def test_only_filling_makes_a_day_of_filling() -> None:
    assert of(site.note("rain"), site.fill(mass_kg=0), site.tally()) == []


def test_where_several_lots_came_every_part_says_which_is_in_it() -> None:
    came = site.delivery(bags=20, lot="L1"), site.delivery(1, bags=20, lot="L2")
    fills = site.fill(mass_kg=20), site.fill("B1", mass_kg=20, lot="L2")
    assert codes(of(SPILL, came[0], fills[0], site.fill("B1", mass_kg=20, lot="L1"))) == []
    (found,) = of(SPILL, *came, *fills)
    assert codes([found]) == [(ConditionCode.LOT_MISSING, "W1", "W1")]
    assert found.concedable


def test_what_was_taken_out_of_a_part_is_of_no_lot() -> None:
    came = site.delivery(bags=20, lot="L1"), site.delivery(1, bags=20, lot="L2")
    filled, out = site.fill(mass_kg=20, lot="L1"), site.fill(minute=9, mass_kg=0, removed_kg=2)
    assert of(*came, SPILL, filled, out) == []


def test_a_lot_that_is_in_a_part_was_delivered() -> None:
    (found,) = of(SPILL, site.delivery(bags=20, lot="L1"), site.fill(mass_kg=20, lot="L7"))
    assert codes([found]) == [(ConditionCode.LOT_MISSING, "W1", "W1")]
    assert "L7" in site.words(found.detail)
    assert found.concedable


def test_a_delivery_names_its_lot_and_left_overs_of_another_job_need_none() -> None:
    (found,) = of(site.delivery(bags=20), site.delivery(bags=2, from_job="J-2026-0001"))
    assert codes([found]) == [(ConditionCode.LOT_MISSING, None, "delivery")]
    assert "delivery" in site.words(found.detail)


def test_where_several_materials_came_nobody_concedes_which_is_in_a_part() -> None:
    came = site.delivery(bags=9, lot="L1"), site.delivery(1, bags=9, lot="L2", material="CF-FINE")
    (found,) = of(SPILL, *came, site.fill(mass_kg=20))
    assert codes([found]) == [(ConditionCode.LOT_MISSING, "W1", "W1")]
    assert not found.concedable


def test_a_part_of_another_material_than_the_offered_is_named() -> None:
    """The offer's data sheet says nothing of it: no density limits, no conductivity."""
    came = site.delivery(bags=9, lot="L1"), site.delivery(1, bags=9, lot="L2", material="CF-FINE")
    fills = site.fill(mass_kg=20, lot="L1"), site.fill("B1", mass_kg=20, lot="L2")
    (found,) = of(SPILL, *came, *fills)
    assert codes([found]) == [(ConditionCode.MATERIAL_NOT_OFFERED, None, "CF-FINE")]
    assert found.parts == ("B1",)
    assert not found.concedable
    assert "CF-STD" in site.words(found.detail)
    assert of(SPILL, came[0], fills[0]) == []


def of_stock(*entries) -> list[Condition]:
    ledger = site.ledger(*entries)
    basis = basis_of(ledger=ledger, material=builders.material(), practice=practice())
    stocks = reconciliations(deliveries=ledger.of(Delivery), fills=ledger.fills, basis=basis)
    return list(stock_conditions(stocks=stocks))


def test_stock_that_nobody_speaks_of_is_a_condition() -> None:
    (found,) = of_stock(site.fill(mass_kg=625))
    assert (found.code, found.cavity, found.subject) == (ConditionCode.STOCK_UNRECONCILED, None, "stock")
    assert "0 is an answer" in site.words(found.remedy)


def test_stock_that_adds_up_is_none() -> None:
    assert of_stock(site.fill(mass_kg=625), *site.stock(60, 10)) == []


def test_missing_and_surplus_material_are_told_apart() -> None:
    (short,) = of_stock(site.fill(mass_kg=525), *site.stock(60, 10))
    (over,) = of_stock(site.fill(mass_kg=725), *site.stock(60, 10))
    assert "missing" in site.words(short.detail)
    assert "too many" in site.words(over.detail)
    assert short.detail.values["difference"].value == pytest.approx(100)
