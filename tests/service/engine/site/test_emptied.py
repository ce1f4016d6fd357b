"""What counts towards the mass of a part."""

from typing import Any

from service.engine.ground.vocabulary import BagsAre
from service.engine.site.emptied import emptied
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
    assert [each[0] for each in counted(*entries)] == ["other", "t", "again"]


def test_what_was_taken_out_before_a_total_is_still_out() -> None:
    total = tally(bags=5, bags_are=BagsAre.TOTAL)
    assert counted(fill(bags=2, removed_kg=3), total) == [("f", None, 0, 3), ("t", 5, None, 0)]


def test_a_tally_without_bags_and_a_fill_of_nothing_count_nothing() -> None:
    assert counted(tally(), fill(mass_kg=0), Note(**said("n"))) == []


def test_a_tally_names_no_bay_and_keeps_what_it_says_of_the_machine() -> None:
    (found,) = emptied(entries=(tally(bags=3, run_empty=True, machine="M2", lot="L7", bulge_mm=12),))
    assert (found.bay, found.run_empty, found.machine, found.lot, found.bulge_mm) == (
        None,
        True,
        "M2",
        "L7",
        12,
    )
