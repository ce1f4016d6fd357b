"""A quote's papers: its document, stored or of a draft, and what documents say of the quote or its job."""

import hashlib
from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.documents.papers import quote as document
from service.engine.ground.messages import message
from service.engine.survey.cavity import Cavity
from service.errors import Erased, NotKnown
from service.store import firms, quote_options, quotes
from service.store.layout.quotes import BASE_OPTION
from service.store.row_types import Quote
from service.usecases.base.context import Context, loads
from service.usecases.base.json import but_workings, from_json
from service.usecases.work import rendering
from service.usecases.work.clients import shown
from service.usecases.work.options import side_by_side
from service.usecases.work.parts import whole
from service.usecases.work.quote_states import found

PRINTED = ("notes", "starts_on", "display")
"""What the office said that the paper prints as it is."""
# Cavities' rows, the totals, and what is said of supplements.
Facts = tuple[Sequence[Mapping[str, Any]], Mapping[str, Any], Sequence[Mapping[str, Any]]]


def file(context: Context, quote_id: UUID) -> Mapping[str, Any] | rendering.Awaited:
    """The offer's document as it is stored, or what it waits for; a draft's is made anew each time."""
    if stored := rendering.stored(context, "quote", quote_id, client_of=quote_id):
        return stored
    if _is_draft(context, quote_id):
        return _draft(context, quote_id)
    return rendering.asked_for(context, "quote", quote_id, client_of=quote_id)


@loads
def _is_draft(connection: Connection, context: Context, quote_id: UUID) -> bool:
    return found(connection, context, quote_id)["number"] is None


def _draft(context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """A draft's document, marked as one, and stored nowhere."""
    facts = _facts(context, quote_id)
    content = rendering.shown(context, lambda: document.pdf(in_full(facts)))
    return {"kind": "quote", "content": content, "sha256": hashlib.sha256(content).hexdigest()}


def pdf(context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """The offer's document, made and stored; a worker's to call."""
    return rendering.made_once(
        context,
        "quote",
        quote_id,
        lambda: document.pdf(in_full(_facts(context, quote_id))),
        client_of=quote_id,
    )


def in_full(facts: Mapping[str, Any]) -> dict[str, Any]:
    """What documents say, the workings of cavities inflated: large as they are, only where they are read."""
    takeoff = facts["takeoff"]
    return {**facts, "takeoff": {**takeoff, "cavities": [each.plain for each in takeoff["cavities"]]}}


@loads
def _facts(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    quote = quotes.as_offered(connection, firm_id=context.firm_id, quote_id=quote_id)
    if quote is None:
        raise NotKnown(message("quotes.not_known"))
    if quote["client_erased_at"]:
        raise Erased(message("documents.erased", day=quote["client_erased_at"].date()))
    rows = quotes.cavities_offered(connection, quote_id, BASE_OPTION)
    facts = _told(connection, quote, (rows, quote["summary"], []))
    return but_workings({**facts, "options": _options(connection, quote)})


def _options(connection: Connection, quote: Quote) -> list[dict[str, Any]]:
    """The options side by side, each with the name of its material; none where there is no choice."""
    materials = {
        BASE_OPTION: quote["basis"]["material"]["name"],
        **{
            row["option"]: row["basis"]["material"]["name"]
            for row in quote_options.of_quote(connection, quote["id"])
        },
    }
    offered = side_by_side(connection, quote, None)
    return [{**each, "material_name": materials[each["option"]]} for each in offered]


def facts_of(connection: Connection, quote: Quote, *, as_offered: bool = False) -> dict[str, Any]:
    """What documents say of the job that a quote became, part by part; or of the quote `as_offered`."""
    return _told(connection, quote, _offered(connection, quote) if as_offered else _agreed(connection, quote))


def _told(connection: Connection, quote: Quote, said: Facts) -> dict[str, Any]:
    rows, summary, added = said
    basis: Mapping[str, Any] = quote["basis"]
    return {
        "number": quote["number"],
        "revision": quote["revision"],
        "body": {name: quote["body"].get(name) for name in PRINTED},
        "reference": quote["reference"],
        "offered_at": quote["offered_at"],
        "valid_until": quote["valid_until"],
        "firm": firms.by_id(connection, quote["firm_id"])["data"],
        **shown(quote),
        "market": basis["practice"]["market"],
        "terms": terms_of(quote),
        "language": quote["body"]["language"],
        "material": basis["material"],
        "practice": basis["practice"],
        # What was left out when it was posted stands here with the value that it was worked out with.
        "cavities": [from_json(Cavity, row["surveyed"]) for row in rows],
        "supplements": added,
        "takeoff": {**summary, "cavities": [row["planned"] for row in rows]},
    }


def _offered(connection: Connection, quote: Quote) -> Facts:
    return quotes.cavities_of(connection, quote["id"]), quote["summary"], []


def _agreed(connection: Connection, quote: Quote) -> Facts:
    job = whole(connection, quote["id"])
    return job.parts, job.summary(quote["summary"]), job.supplements


def terms_of(quote: Quote) -> str | None:
    """The firm's terms that an offer has, in its language; none where the firm has none."""
    terms: Mapping[str, str] = quote["basis"]["price_list"].get("terms") or {}
    return terms.get(quote["body"]["language"])
