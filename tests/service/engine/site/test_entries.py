"""What every kind of entry declares."""

import pytest

from service.engine.ground.shapes import Range, described
from service.engine.site.entries import KINDS, Correction, Entry, Fill, HolesMade, Note


def note(happened_at: str, received_at: str | None = None) -> Note:
    return Note(id="n", happened_at=happened_at, by="crew", received_at=received_at)


@pytest.mark.parametrize("kind", [*KINDS.values(), Correction], ids=lambda kind: kind.__name__)
def test_every_field_says_what_it_means(kind: type[Entry]) -> None:
    for name, hint in described(kind).items():
        told = getattr(hint, "__metadata__", ())
        assert any(isinstance(each, str) for each in told), name


def test_what_has_to_be_measured_is_never_filled_in() -> None:
    """Bags, masses, depths and readings have no default but "nobody said it"."""
    fields = Fill.__dataclass_fields__
    assert {fields[name].default for name in ("bags", "mass_kg", "hopper_kg", "bulge_mm", "bay")} == {None}


def test_ranges_are_declared_with_the_fields() -> None:
    assert Range(0, 500) in described(Fill)["bulge_mm"].__metadata__


def test_an_entry_is_ordered_no_later_than_it_was_received() -> None:
    punctual = note("2026-11-25T09:00:00+01:00", "2026-11-25T08:00:01Z")
    ahead = note("2026-11-25T10:00:00+01:00", "2026-11-25T08:00:01Z")
    assert (punctual.at.minute, punctual.at.second, punctual.clock_doubtful) == (0, 0, False)
    assert (ahead.at.hour, ahead.at.second, ahead.clock_doubtful) == (8, 1, True)
    assert not note("2026-11-25T09:00:00Z").clock_doubtful


def test_papers_tell_when_it_was_received_where_the_clock_is_doubtful() -> None:
    """By the clock of the site; what was punctual is told as it was said."""
    assert note("2026-11-25T09:00:00+01:00", "2026-11-25T08:00:01Z").told_at == "2026-11-25T09:00:00+01:00"
    assert note("2199-11-25T10:00:00+01:00", "2026-11-25T08:00:01Z").told_at == "2026-11-25T09:00:01+01:00"


def test_holes_are_as_planned_where_nothing_was_added_or_omitted() -> None:
    assert HolesMade().as_planned
    assert not HolesMade(omitted=(3,)).as_planned
