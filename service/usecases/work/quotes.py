"""Quotes as they are answered: in short, with their working, and a page of them."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.figures import rounded
from service.engine.ground.messages import Message, message
from service.errors import NotKnown
from service.store import acceptances, jobs, quote_options, quotes
from service.store.row_types import Quote, QuoteCavity, QuoteHead, some
from service.usecases.base.context import Context, loads, reads
from service.usecases.base.json import but_workings, to_json
from service.usecases.work.accepted import accepted_by
from service.usecases.work.clients import shown
from service.usecases.work.finding import ANYTHING, Known, sought
from service.usecases.work.options import side_by_side
from service.usecases.work.quote_states import found, state_on
from service.usecases.work.terms import folded

MOST_NAMED = 3
"""How many others a warning names."""


@loads
def read(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """A quote in short."""
    return answer(connection, context, quote_id)


@loads
def working(
    connection: Connection,
    context: Context,
    quote_id: UUID,
    label: str | None = None,
    option: str | None = None,
) -> Mapping[str, Any]:
    """A quote with all that was worked out for it, for one of its options, or for one of its cavities."""
    quote = found(connection, context, quote_id)
    rows, summary = _asked_for(connection, quote, option)
    rows = [row for row in rows if label in (None, row["label"])]
    if not rows:
        raise NotKnown(message("quotes.no_such_cavity", cavity=label or ""))
    job = jobs.of_quote(connection, quote_id)
    return but_workings(
        {
            **_said(connection, context, quote, job["id"] if job else None),
            "cavities": [row["surveyed"] for row in rows],
            "takeoff": {**summary, "cavities": [row["planned"] for row in rows]},
        }
    )


def _asked_for(connection: Connection, quote: Quote, option: str | None) -> tuple[list[QuoteCavity], Any]:
    """The cavities and totals of an option; of what was agreed or is offered by itself, without one."""
    if option is None:
        return quotes.cavities_of(connection, quote["id"]), quote["summary"]
    rows = [each for each in quote_options.totals(connection, quote["id"]) if each["option"] == option]
    if not rows:
        raise NotKnown(message("quotes.no_such_option", option=option))
    return quotes.cavities_offered(connection, quote["id"], option), rows[0]["summary"]


@reads
def listed(
    connection: Connection,
    context: Context,
    state: str | None,
    limit: int,
    after: UUID | None,
    known: Known = ANYTHING,
) -> Mapping[str, Any]:
    """A page of quotes, newest first; `next` is the cursor of the page after it."""
    rows = quotes.page(
        connection,
        firm_id=context.firm_id,
        state=state,
        today=context.now.date(),
        limit=limit + 1,
        before=after,
        sought=sought(known),
    )
    return {
        "items": [_head(row, context.now.date()) for row in rows[:limit]],
        "next": rows[limit - 1]["id"] if len(rows) > limit else None,
    }


def _head(quote: QuoteHead, today: date) -> dict[str, Any]:
    names = ("id", "number", "revision", "revises", "reference", "version", "currency")
    moments = ("created_at", "updated_at", "offered_at", "valid_until", "accepted_at", "withdrawn_at")
    return {
        **some(quote, (*names, *moments, "superseded_at", "superseded_by")),
        "state": state_on(quote, today),
        **shown(quote),
        "total": quote["total"],
    }


def answer(connection: Connection, context: Context, quote_id: UUID) -> dict[str, Any]:
    """A quote as it is answered, in short: no working is read for it."""
    quote = quotes.short_by_id(connection, firm_id=context.firm_id, quote_id=quote_id)
    if quote is None:
        raise NotKnown(message("quotes.not_known"))
    return {**_said(connection, context, quote, quote["job_id"]), "takeoff": quote["short"]}


def _said(connection: Connection, context: Context, quote: QuoteHead, job_id: UUID | None) -> dict[str, Any]:
    """What both sizes of answer say of a quote."""
    accepted = quote["state"] == "accepted"
    acceptance = acceptances.of(connection, quote["id"]) if accepted else None
    options = side_by_side(connection, quote, acceptance["option"] if acceptance else None)
    return {
        **quote["body"],
        **_head(quote, context.now.date()),
        "options": rounded(to_json(options)),
        "acceptance": accepted_by(acceptance) if acceptance else None,
        "job_id": job_id,
        "warnings": _warnings(connection, quote),
    }


def _warnings(connection: Connection, quote: QuoteHead) -> list[Message]:
    """What somebody may have overlooked: another quote has the same reference."""
    others = quotes.named_alike(connection, quote, folded(quote["reference"]), MOST_NAMED)
    names = tuple(each["number"] or str(each["id"]) for each in others)
    return [message("quotes.reference_again", others=names)] if names else []
