"""Offers: a draft is frozen under its number, takes the place of the offer it revises, or is withdrawn."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.vocabulary import EventKind
from service.store import quote_options, quotes, series
from service.store.row_types import Quote
from service.usecases.base.context import Context, writes
from service.usecases.base.events import EventData, tell
from service.usecases.base.outbox import queue
from service.usecases.base.seals import of_offer, of_supersession, of_withdrawal, seal
from service.usecases.work.quote_states import (
    REVISABLE,
    Versions,
    found,
    move,
    must_be,
    must_be_seen,
    must_be_surveyed,
)
from service.usecases.work.quotes import answer


@writes
def offer(
    connection: Connection, context: Context, quote_id: UUID, seen: Versions | None = None
) -> Mapping[str, Any]:
    """Freeze a draft, give it its number and validity, and let its document be made."""
    quote = found(connection, context, quote_id, lock=True)
    must_be(quote, context, "draft", "offered")
    must_be_seen(quote, seen)
    cavities = quotes.cavities_offered(connection, quote_id)
    must_be_surveyed(cavities)
    today = context.now.date()
    before = _revised(connection, context, quote)
    valid_days = quote["body"].get("valid_days") or quote["basis"]["price_list"]["valid_days"]
    move(
        connection,
        quote,
        state="offered",
        number=before["number"] if before else _next_number(connection, context),
        offered_at=context.now,
        valid_until=today + timedelta(days=valid_days),
    )
    if before:
        _supersede(connection, context, before, quote_id)
    offered = found(connection, context, quote_id)
    seal(connection, quote_id, of_offer(offered, cavities, quote_options.of_quote(connection, quote_id)))
    queue(connection, context, "quote", quote_id)
    told = EventData(state="offered", quote_id=quote_id)
    tell(connection, context, EventKind.QUOTE_OFFERED, quote_id, told)
    return answer(connection, context, quote_id)


def _next_number(connection: Connection, context: Context) -> str:
    year = context.now.year
    return f"Q-{year}-{series.take(connection, firm_id=context.firm_id, kind='quote', year=year):04d}"


def _revised(connection: Connection, context: Context, quote: Quote) -> Quote | None:
    """The offer that a draft takes the place of; refused where it was accepted or another did so before."""
    if quote["revises"] is None:
        return None
    before = found(connection, context, quote["revises"], lock=True)
    must_be(before, context, REVISABLE, "revised")
    return before


def _supersede(connection: Connection, context: Context, before: Quote, quote_id: UUID) -> None:
    gone = {"superseded_at": context.now, "superseded_by": quote_id}
    move(connection, before, state="superseded", **gone)
    seal(connection, before["id"], of_supersession({**before, **gone}))


@writes
def withdraw(
    connection: Connection, context: Context, quote_id: UUID, seen: Versions | None = None
) -> Mapping[str, Any]:
    """Take back a quote that was not accepted."""
    quote = found(connection, context, quote_id, lock=True)
    must_be(quote, context, ("draft", "offered", "lapsed"), "withdrawn")
    must_be_seen(quote, seen)
    move(connection, quote, state="withdrawn", withdrawn_at=context.now)
    if quote["number"]:
        seal(connection, quote_id, of_withdrawal({**quote, "withdrawn_at": context.now}))
    return answer(connection, context, quote_id)
