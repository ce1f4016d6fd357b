"""The states of a quote: what may be done with it in which, and at which of its versions."""

from collections.abc import Collection, Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import QuoteState, Surveyed
from service.errors import Conflict, NotKnown, Stale
from service.store import quotes
from service.store.row_types import Quote, QuoteCavity, QuoteHead, SupplementCavity
from service.usecases.base.context import Context

# The versions that a caller says he has seen: what he does holds only if the quote is at one of them.
Versions = Collection[int]

REVISABLE = ("offered", "lapsed", "withdrawn")
"""States of an offer that a later one may take the place of."""


def found(connection: Connection, context: Context, quote_id: UUID, *, lock: bool = False) -> Quote:
    """The caller's quote; raises NotKnown when there is none."""
    quote = quotes.by_id(connection, firm_id=context.firm_id, quote_id=quote_id, lock=lock)
    if quote is None:
        raise NotKnown(message("quotes.not_known"))
    return quote


def must_be(quote: Quote, context: Context, states: str | tuple[str, ...], to_be: str) -> None:
    """Refuse what is done with a quote in none of these states."""
    present = state_on(quote, context.now.date())
    if present not in ((states,) if isinstance(states, str) else states):
        raise Conflict(message(f"quotes.not_to_be_{to_be}", state=QuoteState(present)))


def must_be_surveyed(cavities: Sequence[QuoteCavity | SupplementCavity]) -> None:
    """Refuse to offer what is only estimated."""
    for row in cavities:
        if row["surveyed"].get("surveyed") == Surveyed.ESTIMATED:
            raise Conflict(message("quotes.estimated", cavity=row["label"]))


def must_be_seen(quote: Quote, seen: Versions | None) -> None:
    """Refuse what somebody wants of another version than there is."""
    if seen is not None and quote["version"] not in seen:
        raise Stale(message("quotes.changed_meanwhile"))


def move(connection: Connection, quote: Quote, **values: Any) -> None:
    """Put a quote, which is locked, in another state."""
    moment: datetime = next(value for value in values.values() if isinstance(value, datetime))
    quotes.update(connection, quote["id"], {**values, "updated_at": moment})


def state_on(quote: QuoteHead, day: date) -> str:
    """The state of a quote on a day: an offer lapses by itself."""
    last = quote["valid_until"]
    lapsed = quote["state"] == "offered" and last is not None and last < day
    return "lapsed" if lapsed else quote["state"]
