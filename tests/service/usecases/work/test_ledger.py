"""The ledger as it stands: what was corrected is replaced or struck, each entry under its row's id."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from service.engine.site.entries import Note, Tally
from service.engine.site.holes_told import HolesMade, Patched
from service.usecases.work.ledger import UNPLACED, labels_of, ledger_of, standing
from tests.api import NOW

LATER = NOW + timedelta(hours=2)


def row(number: int, kind: str = "tally", **columns: Any) -> dict[str, Any]:
    """A stored entry; its id is its number."""
    data = {"cavity": f"W{number}", "bags": 3} if kind == "tally" else {}
    return {
        "id": UUID(int=number),
        "position": number,
        "kind": kind,
        "happened_at": NOW + timedelta(minutes=number),
        "offset_min": 60,
        "by": "A hand",
        "received_at": LATER,
        "data": data,
        "corrects": None,
        **columns,
    }


def correction(number: int, of: int, replacement: Any) -> dict[str, Any]:
    return row(number, "correction", corrects=UUID(int=of), data={"replacement": replacement})


def meant(cavity: str) -> dict[str, Any]:
    said = {"kind": "tally", "cavity": cavity, "bags": 4}
    return {**said, "happened_at": NOW.isoformat(), "by": "Another hand"}


def test_an_entry_is_told_as_it_was_stored_by_the_clock_of_the_site() -> None:
    (entry,) = standing([row(1)])
    assert isinstance(entry, Tally)
    assert (entry.id, entry.position, entry.cavity, entry.bags) == (str(UUID(int=1)), 1, "W1", 3)
    assert datetime.fromisoformat(entry.happened_at) == NOW + timedelta(minutes=1)
    assert entry.happened_at.endswith("+01:00")
    assert datetime.fromisoformat(entry.received_at or "") == LATER


def test_what_took_its_place_stands_under_the_corrections_id() -> None:
    (entry,) = standing([row(1), correction(2, 1, meant("W9"))])
    assert isinstance(entry, Tally)
    assert (entry.id, entry.cavity, entry.by) == (str(UUID(int=2)), "W9", "Another hand")


def test_what_an_office_corrects_from_afar_stays_of_its_day() -> None:
    """Half past four in the afternoon of the site is the next day in UTC, in which the service answers it."""
    evening = datetime(2026, 11, 24, 0, 30, tzinfo=UTC)
    first = row(1, happened_at=evening, offset_min=-480)
    again = {**meant("W1"), "happened_at": evening.isoformat()}
    told = [first, *({**correction(number, number - 1, again), "offset_min": 0} for number in (2, 3))]
    (entry,) = standing(told)
    assert (entry.day, entry.happened_at[-6:]) == (date(2026, 11, 23), "-08:00")


def test_what_is_corrected_keeps_its_place_among_what_happened_at_one_moment() -> None:
    """A notebook typed at one sitting: a fill before a total stays before it once it was put right."""
    at = {"happened_at": NOW}
    told = [row(1, **at), row(2, **at), correction(3, 1, meant("W1"))]
    assert [entry.position for entry in ledger_of(standing(told)).entries] == [1, 2]


def test_a_struck_entry_is_gone_and_so_is_a_correction_of_a_correction() -> None:
    assert list(standing([row(1), correction(2, 1, None)])) == []
    twice = [row(1), correction(2, 1, meant("W8")), correction(3, 2, meant("W9"))]
    assert [entry.cavity for entry in standing(twice) if isinstance(entry, Tally)] == ["W9"]


@pytest.mark.parametrize(
    ("said", "holes", "patched"),
    [
        ({}, None, None),
        ({"holes": "as_planned", "patched": "all"}, HolesMade(), Patched()),
        (
            {"holes": {"omitted": [2]}, "patched": {"all_but": [3]}},
            HolesMade(omitted=(2,)),
            Patched(all_but=(3,)),
        ),
    ],
    ids=["unsaid", "in a word", "in full"],
)
def test_silence_about_holes_is_not_as_planned(said: Any, holes: Any, patched: Any) -> None:
    (entry,) = standing([row(1, data={"cavity": "W1", "bags": 3, **said})])
    assert isinstance(entry, Tally)
    assert (entry.holes, entry.patched) == (holes, patched)


def test_what_is_not_stored_yet_comes_after_everything_that_is() -> None:
    unplaced = {name: value for name, value in row(1).items() if name != "position"}
    (entry,) = standing([unplaced])
    assert entry.position == UNPLACED


def test_entries_are_in_the_order_of_what_happened() -> None:
    late, early = row(1, happened_at=NOW + timedelta(hours=1)), row(2, happened_at=NOW)
    assert [entry.position for entry in ledger_of(standing([late, early])).entries] == [2, 1]


def test_moments_without_an_offset_are_in_utc() -> None:
    (entry,) = standing([row(1, offset_min=0)])
    assert datetime.fromisoformat(entry.happened_at).tzinfo == UTC
    assert entry.happened_at.endswith("Z")


def test_an_entry_names_its_part_or_none() -> None:
    said = {"id": "x", "happened_at": NOW.isoformat(), "by": "A hand"}
    assert labels_of(Note(**said, cavity="W1")) == ("W1",)
    assert labels_of(Note(**said)) == ()
