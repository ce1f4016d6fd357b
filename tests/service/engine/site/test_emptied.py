"""What counts towards the mass of a part."""

from typing import Any

from service.engine.ground.vocabulary import BagsAre
from service.engine.site.emptied import emptied, emptyings
from service.engine.site.entries import Fill, Note, Tally


def said(identity: str) -> dict[str, Any]:
    return {"id": identity, "happened_at": "2026-11-25T08:00:00Z", "by": "crew"}


def fill(identity: str = "f", cavity: str = "W1", **fields: Any) -> Fill:
    return Fill(cavity=cavity, **said(identity), **fields)


def tally(cavity: str = "W1", **fields: Any) -> Tally:
    return Tally(cavity=cavity, **said("t"), **fields)


def counted(*entries: Any) -> list[tuple[str, float | None, float | None, float]]:
    return [(each.id, each.bags, each.mass_kg, each.removed_kg) for each in emptied(entries=entries)]


def test_a_part_has_the_sum_of_its_fills_and_its_tally() -> None:
    assert counted(fill(bags=2, bay=1), tally(bags=3, bags_are=BagsAre.BESIDES), fill("g", mass_kg=4)) == [
        ("f", 2, None, 0),
        ("t", 3, None, 0),
        ("g", None, 4, 0),
    ]


def test_a_total_stands_alone_and_what_comes_after_it_counts_again() -> None:
    total = tally(bags=5, bags_are=BagsAre.TOTAL)
    entries = (fill(bags=2), fill("other", "W2", bags=1), total, fill("again", bags=0.5))
    assert counted(*entries) == [
        ("f", None, 0, 0),
        ("other", 1, None, 0),
        ("t", 5, None, 0),
        ("again", 0.5, None, 0),
    ]


def test_that_a_part_was_filled_before_its_total_stands_with_all_but_its_kilograms() -> None:
    """A sample taken before it is still one of before, and a facing that gave has still given."""
    (before, _) = emptied(
        entries=(fill(bags=2, bay=3, bulge_mm=21, lot="L7"), tally(bags=5, bags_are=BagsAre.TOTAL))
    )
    assert (before.bay, before.bulge_mm, before.lot, before.bags, before.mass_kg) == (3, 21, "L7", None, 0)


def test_what_was_taken_out_before_a_total_is_still_out() -> None:
    total = tally(bags=5, bags_are=BagsAre.TOTAL)
    assert counted(fill(bags=2, removed_kg=3), total) == [("f", None, 0, 3), ("t", 5, None, 0)]


def test_a_tally_without_bags_and_a_fill_of_nothing_count_nothing() -> None:
    assert counted(tally(), fill(mass_kg=0), Note(**said("n"))) == []


def test_what_a_tally_without_bags_says_it_says_of_what_was_blown_last() -> None:
    entries = (
        fill(bags=2, bulge_mm=9),
        fill("g", bags=3),
        fill("out", mass_kg=0, removed_kg=1),
        tally(bulge_mm=21, last_bay=7, run_empty=True),
    )
    first, last, out = emptied(entries=entries)
    assert (first.bulge_mm, first.run_empty) == (9, False)
    assert (last.bags, last.bulge_mm, last.last_bay, last.run_empty) == (3, 21, 7, True)
    assert (out.bulge_mm, out.run_empty) == (None, False)
    assert emptied(entries=(tally(run_empty=True), fill("later", bags=1)))[0].run_empty is False


def test_of_a_machine_that_went_on_elsewhere_a_tally_without_bags_says_nothing() -> None:
    entries = (fill(bags=2), fill("elsewhere", "W2", bags=1), tally(hopper_kg=4, bulge_mm=21))
    first, elsewhere = emptied(entries=entries)
    assert (first.hopper_kg, first.bulge_mm, elsewhere.hopper_kg) == (None, 21, None)


def test_what_a_total_took_the_place_of_was_blown_all_the_same() -> None:
    entries = (fill(bags=2), fill("out", removed_kg=3, mass_kg=0), tally(bags=5, bags_are=BagsAre.TOTAL))
    assert [(each.id, each.bags) for each in emptyings(entries=(*entries, tally()))] == [("f", 2), ("t", 5)]


def test_a_tally_names_no_bay_and_keeps_what_it_says_of_the_machine() -> None:
    (found,) = emptied(entries=(tally(bags=3, run_empty=True, machine="M2", lot="L7", bulge_mm=12),))
    assert (found.bay, found.run_empty, found.machine, found.lot, found.bulge_mm) == (
        None,
        True,
        "M2",
        "L7",
        12,
    )
