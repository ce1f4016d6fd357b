"""When an entry happened, by clocks that may be wrong."""

from service.engine.site.entries import Note


def note(happened_at: str, received_at: str | None = None) -> Note:
    return Note(id="n", happened_at=happened_at, by="crew", received_at=received_at)


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
