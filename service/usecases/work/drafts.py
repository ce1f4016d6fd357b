"""Drafts: a posted building is worked out while others write, and kept; until it is offered it may change."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from service.store import clients, quote_options, quotes, terms
from service.store.row_types import Quote
from service.store.terms import Term
from service.usecases.base.context import Context, loads, refuse_repeated, writes
from service.usecases.work import options, takeoffs
from service.usecases.work.basis import InForce, load
from service.usecases.work.bodies import QuoteBody
from service.usecases.work.clients import row_of
from service.usecases.work.quote_states import Versions, found, must_be, must_be_seen
from service.usecases.work.quotes import answer
from service.usecases.work.terms import terms_of
from service.usecases.work.workings import WorkedOut, worked_out


@dataclass(frozen=True, slots=True, kw_only=True)
class Lineage:
    """Which revision a quote is, and the quote that it takes the place of once it is offered."""

    revision: int = 1
    revises: UUID | None = None


FIRST = Lineage()


def create(context: Context, body: QuoteBody, lineage: Lineage = FIRST) -> Mapping[str, Any]:
    """Work out a building and keep it as a draft."""
    found_out = worked_out(context, body, _ready_to_create(context, body))
    created: Mapping[str, Any] = _create(context, body, found_out, lineage)
    return created


@loads
def _ready_to_create(connection: Connection, context: Context, body: QuoteBody) -> list[InForce]:
    refuse_repeated(connection, context)
    return _bases(connection, context, body)


@writes
def _create(
    connection: Connection, context: Context, body: QuoteBody, found_out: WorkedOut, lineage: Lineage
) -> Mapping[str, Any]:
    quote_id = uuid7()
    draft = {
        "id": quote_id,
        "firm_id": context.firm_id,
        "state": "draft",
        "version": 1,
        "revision": lineage.revision,
        "revises": lineage.revises,
        "sealed": 0,
    }
    quotes.add(connection, {**draft, **found_out.values, "created_at": context.now}, found_out.cavities)
    quote_options.add(connection, quote_id, found_out.options)
    clients.add(connection, row_of(quote_id, body))
    terms.add(connection, firm_id=context.firm_id, owner_id=quote_id, terms=_found_by(body))
    return answer(connection, context, quote_id)


def change(context: Context, quote_id: UUID, seen: Versions, body: QuoteBody) -> Mapping[str, Any]:
    """Put another building in the place of a draft's; raises Stale if its version is none of those `seen`."""
    bases = _ready_to_change(context, quote_id, seen, body)
    changed: Mapping[str, Any] = _change(context, quote_id, seen, body, worked_out(context, body, bases))
    return changed


@loads
def _ready_to_change(
    connection: Connection, context: Context, quote_id: UUID, seen: Versions, body: QuoteBody
) -> list[InForce]:
    quote = found(connection, context, quote_id)
    # After the quote was read: what a twin has done in between must not pass for somebody else's change.
    refuse_repeated(connection, context)
    _must_be_changeable(quote, context, seen)
    return _bases(connection, context, body)


@writes
def _change(
    connection: Connection,
    context: Context,
    quote_id: UUID,
    seen: Versions,
    body: QuoteBody,
    found_out: WorkedOut,
) -> Mapping[str, Any]:
    _must_be_changeable(found(connection, context, quote_id, lock=True), context, seen)
    quotes.update(connection, quote_id, found_out.values)
    quotes.replace_cavities(connection, quote_id, found_out.cavities)
    quote_options.remove(connection, quote_id)
    quote_options.add(connection, quote_id, found_out.options)
    clients.replace(connection, row_of(quote_id, body))
    terms.replace(connection, firm_id=context.firm_id, owner_id=quote_id, terms=_found_by(body))
    return answer(connection, context, quote_id)


def _found_by(body: QuoteBody) -> Iterator[Term]:
    own = (option.get("cavities", []) for option in body.get("options", ()))
    named = [each for cavities in (body["cavities"], *own) for each in cavities]
    return terms_of(body["reference"], body["client"], body["site"]["address"], named)


def _must_be_changeable(quote: Quote, context: Context, seen: Versions) -> None:
    must_be(quote, context, "draft", "changed")
    must_be_seen(quote, seen)


def _bases(connection: Connection, context: Context, body: QuoteBody) -> list[InForce]:
    """What the building is worked out by, and after it what each of its options is."""
    on, others = takeoffs.day_of(context, body), options.buildings(body)
    cavities = [cavity for each in (body, *others) for cavity in each["cavities"]]
    takeoffs.check_size(context.settings, {"cavities": cavities})
    bases = [load(connection, firm_id=context.firm_id, body=body, on=on)]
    for place, building in enumerate(others):
        with options.named_in(body, place, building):
            bases.append(load(connection, firm_id=context.firm_id, body=building, on=on))
    return bases
