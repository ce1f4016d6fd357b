"""Days and moments as RFC 3339 writes them, and in no other form.

Python's own readers take all of ISO 8601: `2026-W48` would be a Monday, `20261125` a day.
"""

import re
from datetime import date, datetime

# RFC 3339, 5.6: full-date and date-time; the letters may be small (5.6, NOTE).
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
MOMENT = re.compile(
    DAY.pattern + r"T[0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,9})?(Z|[+-][0-9]{2}:[0-9]{2})", re.I
)


def read_day(text: str) -> date:
    """A full-date, such as 2026-11-25; raises ValueError for everything else."""
    if not DAY.fullmatch(text):
        raise ValueError("no day in RFC 3339")
    return date.fromisoformat(text)


def read_moment(text: str) -> datetime:
    """A date-time with its offset from UTC, to the microsecond; raises ValueError for everything else."""
    if not MOMENT.fullmatch(text):
        raise ValueError("no moment in RFC 3339")
    return datetime.fromisoformat(text.upper())


def moment_text(moment: datetime) -> str:
    """A date-time with the offset that it has, UTC as Z (4.3, and 5.8 for its examples)."""
    return moment.isoformat().replace("+00:00", "Z")
