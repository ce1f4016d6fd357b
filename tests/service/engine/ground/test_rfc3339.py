"""RFC 3339: its own examples (5.8) are read, what only ISO 8601 has is not."""

from datetime import UTC, date, datetime

import pytest

from service.engine.ground.rfc3339 import moment_text, read_day, read_moment


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("1985-04-12T23:20:50.52Z", datetime(1985, 4, 12, 23, 20, 50, 520_000, UTC)),
        ("1996-12-19T16:39:57-08:00", datetime(1996, 12, 20, 0, 39, 57, 0, UTC)),
        ("1937-01-01T12:00:27.87+00:20", datetime(1937, 1, 1, 11, 40, 27, 870_000, UTC)),
        ("1985-04-12t23:20:50.52z", datetime(1985, 4, 12, 23, 20, 50, 520_000, UTC)),
    ],
)
def test_the_examples_of_rfc_3339_are_read(text: str, utc: datetime) -> None:
    assert read_moment(text) == utc


@pytest.mark.parametrize(
    "text", ["2026-W48", "2026-W48-3", "20261125", "2026-329", "2026-02-30", "٢026-11-25"]
)
def test_other_days_are_none(text: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        read_day(text)
    assert read_day("2026-11-25") == date(2026, 11, 25)


@pytest.mark.parametrize(
    "text", ["2026-W48-3T08:00:00Z", "2026-11-25T08:00Z", "2026-11-25T08:00:00+0100", "now"]
)
def test_other_moments_are_none(text: str) -> None:
    with pytest.raises(ValueError, match="RFC 3339"):
        read_moment(text)


def test_a_moment_is_written_with_its_offset_and_utc_as_z() -> None:
    for text in ("1985-04-12T23:20:50Z", "1996-12-19T16:39:57-08:00"):
        assert moment_text(read_moment(text)) == text
