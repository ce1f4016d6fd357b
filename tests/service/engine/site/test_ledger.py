from dataclasses import replace
from itertools import permutations

from service.engine.site.entries import Core, Fill, Sample
from service.engine.site.ledger import Ledger
from tests import site


def test_entries_are_put_in_order_of_what_happened() -> None:
    fills = tuple(site.fill(minute=minute, mass_kg=1) for minute in (1, 2, 3))
    assert {site.ledger(*each).entries for each in permutations(fills)} == {fills}


def test_entries_of_one_instant_stand_in_the_order_of_receipt_and_then_of_their_ids() -> None:
    second, first = (replace(site.fill(mass_kg=1), position=place) for place in (2, 1))
    assert site.ledger(second, first).entries == (first, second)
    unplaced = site.fill(mass_kg=1), site.fill(mass_kg=2)
    assert site.ledger(*unplaced[::-1]).entries == unplaced


def test_order_goes_by_the_instant_and_not_by_its_spelling() -> None:
    """RFC 3339 writes one instant in many ways: 09:30:00Z comes before 09:30:00.500Z."""
    later = site.fill(mass_kg=1, happened_at="2026-11-23T09:30:00.500Z")
    sooner = site.fill(mass_kg=2, happened_at="2026-11-23T09:30:00Z")
    elsewhere = site.fill(mass_kg=3, happened_at="2026-11-23T10:15:00+01:00")
    assert site.ledger(later, sooner, elsewhere).entries == (elsewhere, sooner, later)


def test_what_says_that_it_happened_after_it_was_received_stands_where_it_was_received() -> None:
    ahead = site.fill(mass_kg=1, minute=200, received_at="2026-11-23T08:05:00Z")
    after, before = site.fill(mass_kg=2, minute=6), site.fill(mass_kg=3, minute=4)
    assert site.ledger(after, ahead, before).entries == (before, ahead, after)


def test_a_ledger_gives_the_entries_of_a_kind_and_of_a_part() -> None:
    core, block, elsewhere = site.core(70), site.block(500), site.core(70, "B1")
    ledger = Ledger(entries=(core, site.note("weather"), block, elsewhere))
    assert ledger.of(Sample) == (core, block, elsewhere)
    assert ledger.of(Core) == (core, elsewhere)
    assert ledger.of(Fill) == ()
    assert {label: part.entries for label, part in ledger.by_part().items()} == {
        "W1": (core, block),
        "B1": (elsewhere,),
    }


def test_masses_are_those_of_fills_and_tallies() -> None:
    ledger = site.ledger(site.tally(bags=3), site.fill(mass_kg=4))
    assert [(each.bags, each.mass_kg) for each in ledger.fills] == [(None, 4), (3, None)]


def test_lots_are_those_that_deliveries_and_parts_name_each_once() -> None:
    fills = (site.fill(mass_kg=1, minute=1, lot="B"), site.fill(mass_kg=1, minute=2, lot="A"))
    assert site.ledger(*fills, site.fill(mass_kg=1, minute=3, lot="B"), site.fill(mass_kg=1)).lots == (
        "B",
        "A",
    )
    assert site.ledger().lots == ()
