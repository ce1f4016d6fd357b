from dataclasses import replace
from itertools import permutations

from service.engine.site.ledger import Ledger, in_order
from tests import site


def test_entries_are_put_in_order_of_recording() -> None:
    fills = tuple(site.fill(minute=minute, mass_kg=1) for minute in (1, 2, 3))
    assert {in_order(each) for each in permutations(fills)} == {fills}


def test_entries_of_one_instant_are_told_apart_by_their_id() -> None:
    first, second = site.fill(mass_kg=1), site.fill(mass_kg=2)
    assert in_order((second, first)) == in_order((first, second)) == (first, second)


def test_order_goes_by_the_instant_and_not_by_its_spelling() -> None:
    """RFC 3339 writes one instant in many ways: 09:30:00Z comes before 09:30:00.500Z."""
    later = replace(site.fill(mass_kg=1), recorded_at="2026-11-23T09:30:00.500Z")
    sooner = replace(site.fill(mass_kg=2), recorded_at="2026-11-23T09:30:00Z")
    elsewhere = replace(site.fill(mass_kg=3), recorded_at="2026-11-23T10:15:00+01:00")
    assert in_order((later, sooner, elsewhere)) == (elsewhere, sooner, later)


def test_a_ledger_puts_every_kind_in_order() -> None:
    kinds = {
        "fills": (site.fill(minute=1, mass_kg=1), site.fill(minute=2, mass_kg=1)),
        "bag_checks": (site.bag_check(12.5, 12.6), site.bag_check(12.4, 12.6)),
        "samples": (site.core(70, minute=1), site.core(70, minute=2)),
        "penetrations": (site.penetration("A"), site.penetration("B", minute=1)),
        "patches": (site.patch("A"), site.patch("B", minute=6)),
        "answers": (site.answer("x"), site.answer("y", minute=1)),
        "stocks": (site.stock(1, 0, minute=1), site.stock(1, 0, minute=2)),
        "depth_checks": (site.depth_check(300, minute=1), site.depth_check(300, minute=2)),
        "air_tests": (site.air_test(), site.air_test()),
    }
    reversed_kinds = {name: entries[::-1] for name, entries in kinds.items()}
    assert Ledger(**reversed_kinds).in_order() == Ledger(**kinds)
    assert set(kinds) == set(Ledger.__dataclass_fields__)
