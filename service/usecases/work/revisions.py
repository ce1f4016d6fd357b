"""Revisions and copies: drafts of what was quoted before, worked out anew.

A revision keeps the day of its prices and takes the number of the offer that it revises, which is superseded
once it is offered. A copy is a quote of its own, by what is in force today.
"""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Conflict
from service.store import quotes as stored
from service.store.layout.quotes import BASE_OPTION
from service.store.row_types import Quote
from service.usecases.base.context import Context, loads, refuse_repeated
from service.usecases.work.bodies import QuoteBody
from service.usecases.work.drafts import Lineage, create
from service.usecases.work.options import posted_again
from service.usecases.work.posted import body_of
from service.usecases.work.quote_states import REVISABLE, found, must_be


def revise(context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """A draft that takes the place of an offer once it is offered itself."""
    body, revision = _to_revise(context, quote_id)
    return create(context, body, Lineage(revision=revision, revises=quote_id))


def copy(context: Context, quote_id: UUID, reference: str) -> Mapping[str, Any]:
    """A draft of the same building under another reference, by what is in force today."""
    body = _to_copy(context, quote_id)
    body["reference"] = reference
    body.pop("priced_on", None)
    return create(context, body)


@loads
def _to_revise(connection: Connection, context: Context, quote_id: UUID) -> tuple[QuoteBody, int]:
    refuse_repeated(connection, context)
    quote = found(connection, context, quote_id)
    must_be(quote, context, REVISABLE, "revised")
    if quote["number"] is None:
        # A draft that was withdrawn: it has no number that another could take over.
        raise Conflict(message("quotes.never_offered"))
    return _body(connection, quote), quote["revision"] + 1


@loads
def _to_copy(connection: Connection, context: Context, quote_id: UUID) -> QuoteBody:
    refuse_repeated(connection, context)
    return _body(connection, found(connection, context, quote_id))


def _body(connection: Connection, quote: Quote) -> QuoteBody:
    offered = stored.as_offered(connection, firm_id=quote["firm_id"], quote_id=quote["id"])
    assert offered is not None
    cavities = stored.cavities_offered(connection, quote["id"], BASE_OPTION)
    return body_of(offered, cavities, posted_again(connection, offered))
