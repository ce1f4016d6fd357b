"""What a sales office knows of a quote or a job that it looks for."""

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from service.store.finding import Sought
from service.store.terms import Term
from service.usecases.work.terms import folded


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known of it; None does not bind. Days are those on which it was made, in UTC, both included."""

    number: str | None = None
    reference: str | None = None
    client: str | None = None
    place: str | None = None
    build_up: str | None = None
    since: date | None = None
    until: date | None = None


ANYTHING = Known()
ANY_END = "*"
"""At the end of what is sought: it begins so."""


def sought(known: Known) -> Sought:
    """The same as the store looks for it: a reference or label as a whole, client and place by each word."""
    return Sought(
        terms=[(kind, text) for kind, text in _terms(known) if not text.endswith(ANY_END)],
        begins=[(kind, text.removesuffix(ANY_END)) for kind, text in _terms(known) if text.endswith(ANY_END)],
        number=known.number,
        since=_begin(known.since) if known.since else None,
        until=_begin(known.until) + timedelta(days=1) if known.until else None,
    )


def _terms(known: Known) -> list[Term]:
    whole = [("reference", known.reference), ("build_up", known.build_up)]
    found = [(kind, folded(text)) for kind, text in whole if text is not None]
    by_word = [("client", known.client), ("place", known.place)]
    return found + [(kind, word) for kind, text in by_word if text is not None for word in _words(text)]


def _words(text: str) -> list[str]:
    return re.findall(r"\w+\*?", folded(text))


def _begin(day: date) -> datetime:
    return datetime.combine(day, time.min, UTC)
