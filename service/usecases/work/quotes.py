"""Quotes: drafted, changed, offered, accepted or withdrawn. What was offered stays as it was."""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from service.documents.papers import quote as document
from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import QuoteState, Surveyed
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.lines import lined
from service.engine.survey.cavity import Cavity
from service.errors import Conflict, Erased, NotKnown, Stale
from service.store import acceptances, clients, firms, jobs, quotes, series, terms
from service.store.row_types import Quote, QuoteCavity, QuoteHead, SupplementCavity, some
from service.usecases.base.context import Context, loads, reads, refuse_repeated, writes
from service.usecases.base.json import from_json, to_json
from service.usecases.base.seals import of_offer, of_supersession, of_withdrawal, seal
from service.usecases.firm.own_texts import refuse_missing
from service.usecases.work import rendering, takeoffs
from service.usecases.work.accepted import accepted_by
from service.usecases.work.basis import InForce, load
from service.usecases.work.bodies import QuoteBody
from service.usecases.work.clients import row_of, shown
from service.usecases.work.finding import ANYTHING, Known, sought
from service.usecases.work.parts import whole, worked_out_singly
from service.usecases.work.short import of_quote, short
from service.usecases.work.terms import folded, terms_of

# The versions that a caller says he has seen: what he does holds only if the quote is at one of them.
Versions = Collection[int]
# A quote's own values and its cavities'.
WorkedOut = tuple[Mapping[str, Any], Sequence[Mapping[str, Any]]]

PRINTED = ("notes", "starts_on", "display")
"""What the office said that the paper prints as it is."""
REVISABLE = ("offered", "lapsed", "withdrawn")
"""States of an offer that a later one may take the place of."""
MOST_NAMED = 3
"""How many others a warning names."""

BODY = (
    *("language", "practice", "material", "travel_km", "extras", *takeoffs.SALE),
    *("price_list", "notes", "starts_on", "valid_days", "display"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lineage:
    """Which revision a quote is, and the quote that it takes the place of once it is offered."""

    revision: int = 1
    revises: UUID | None = None


FIRST = Lineage()


def create(context: Context, body: QuoteBody, lineage: Lineage = FIRST) -> Mapping[str, Any]:
    """Work out a building and keep it as a draft."""
    worked_out = _worked_out(context, body, _ready_to_create(context, body))
    created: Mapping[str, Any] = _create(context, body, worked_out, lineage)
    return created


@reads
def _ready_to_create(connection: Connection, context: Context, body: QuoteBody) -> InForce:
    refuse_repeated(connection, context)
    return _basis(connection, context, body)


@writes
def _create(
    connection: Connection, context: Context, body: QuoteBody, worked_out: WorkedOut, lineage: Lineage
) -> Mapping[str, Any]:
    quote_id = uuid7()
    values, cavities = worked_out
    draft = {
        "id": quote_id,
        "firm_id": context.firm_id,
        "state": "draft",
        "version": 1,
        "revision": lineage.revision,
        "revises": lineage.revises,
        "sealed": 0,
    }
    quotes.add(connection, {**draft, **values, "created_at": context.now}, cavities)
    clients.add(connection, row_of(quote_id, body))
    _let_be_found(connection, context, quote_id, body)
    return answer(connection, context, quote_id)


def change(context: Context, quote_id: UUID, seen: Versions, body: QuoteBody) -> Mapping[str, Any]:
    """Put another building in the place of a draft's; raises Stale if its version is none of those `seen`."""
    basis = _ready_to_change(context, quote_id, seen, body)
    changed: Mapping[str, Any] = _change(context, quote_id, seen, body, _worked_out(context, body, basis))
    return changed


@reads
def _ready_to_change(
    connection: Connection, context: Context, quote_id: UUID, seen: Versions, body: QuoteBody
) -> InForce:
    quote = found(connection, context, quote_id)
    # After the quote was read: what a twin has done in between must not pass for somebody else's change.
    refuse_repeated(connection, context)
    _must_be_changeable(quote, context, seen)
    return _basis(connection, context, body)


@writes
def _change(
    connection: Connection,
    context: Context,
    quote_id: UUID,
    seen: Versions,
    body: QuoteBody,
    worked_out: WorkedOut,
) -> Mapping[str, Any]:
    _must_be_changeable(found(connection, context, quote_id, lock=True), context, seen)
    values, cavities = worked_out
    quotes.update(connection, quote_id, values)
    quotes.replace_cavities(connection, quote_id, cavities)
    clients.replace(connection, row_of(quote_id, body))
    _let_be_found(connection, context, quote_id, body)
    return answer(connection, context, quote_id)


def _let_be_found(connection: Connection, context: Context, quote_id: UUID, body: QuoteBody) -> None:
    found_by = terms_of(body["reference"], body["client"], body["site"]["address"], body["cavities"])
    terms.replace(connection, firm_id=context.firm_id, owner_id=quote_id, terms=found_by)


def _must_be_changeable(quote: Quote, context: Context, seen: Versions) -> None:
    must_be(quote, context, "draft", "changed")
    must_be_seen(quote, seen)


def _basis(connection: Connection, context: Context, body: QuoteBody) -> InForce:
    takeoffs.check_size(context.settings, body)
    return load(connection, firm_id=context.firm_id, body=body, on=takeoffs.day_of(context, body))


def _worked_out(context: Context, body: QuoteBody, basis: Mapping[str, Any]) -> WorkedOut:
    """A quote's own values and its cavities', from the posted building.

    Outside of any transaction: it may take many seconds, and others write meanwhile.
    """
    on = takeoffs.day_of(context, body)
    in_force = from_json(InForce, basis)
    refuse_missing(
        language=body["language"],
        practice=in_force.practice,
        material=in_force.material,
        price_list=in_force.price_list,
    )
    found = takeoffs.work_out(in_force, body, on)
    posted = {name: value for name, value in body.items() if name in BODY}
    site = {name: value for name, value in body["site"].items() if name != "address"}
    summary = to_json(replace(found, cavities=()))
    del summary["cavities"]
    values = {
        "reference": body["reference"],
        "body": to_json({**posted, "site": site, "priced_on": on}),
        "basis": basis,
        "summary": summary,
        "currency": found.price.currency,
        "total": found.price.total,
        "updated_at": context.now,
    }
    return values, cavity_rows(in_force, takeoffs.surveyed_by(in_force, body), found.cavities)


def cavity_rows(
    basis: InForce, surveyed: Sequence[Mapping[str, Any]], found: Sequence[CavityTakeoff]
) -> list[dict[str, Any]]:
    """The rows of cavities as they were surveyed and worked out, but for whose they are."""
    return [_cavity_row(basis, *each) for each in zip(surveyed, found, strict=True)]


def _cavity_row(basis: InForce, surveyed: Mapping[str, Any], found: CavityTakeoff) -> dict[str, Any]:
    planned, single = to_json(found), worked_out_singly(basis, surveyed)
    return {
        **{name: planned[name] for name in ("label", "element", "mass_kg", "count")},
        "surveyed": to_json(surveyed),
        "planned": planned,
        "single": to_json(single),
        "line": _line(basis, found),
        "single_line": _line(basis, single) if single else None,
    }


def _line(basis: InForce, found: CavityTakeoff) -> Any:
    return to_json(lined(found=found, material=basis.material, practice=basis.practice))


@reads
def read(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """A quote in short."""
    return answer(connection, context, quote_id)


@reads
def working(
    connection: Connection, context: Context, quote_id: UUID, label: str | None = None
) -> Mapping[str, Any]:
    """A quote with all that was worked out for it, or for one of its cavities."""
    quote = found(connection, context, quote_id)
    rows = quotes.cavities_of(connection, quote_id, None if label is None else [label])
    if not rows:
        raise NotKnown(message("quotes.no_such_cavity", cavity=label or ""))
    return {
        **_said(connection, context, quote),
        "cavities": [row["surveyed"] for row in rows],
        "takeoff": {**quote["summary"], "cavities": [row["planned"] for row in rows]},
    }


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


@writes
def offer(
    connection: Connection, context: Context, quote_id: UUID, seen: Versions | None = None
) -> Mapping[str, Any]:
    """Freeze a draft, give it its number and validity, and let its document be made."""
    quote = found(connection, context, quote_id, lock=True)
    must_be(quote, context, "draft", "offered")
    must_be_seen(quote, seen)
    must_be_surveyed(quotes.cavities_of(connection, quote_id))
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
    seal(connection, quote_id, of_offer(offered, quotes.cavities_of(connection, quote_id)))
    rendering.queue(connection, context, "quote", quote_id)
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


def file(context: Context, quote_id: UUID) -> Mapping[str, Any] | rendering.Awaited:
    """The offer's document as it is stored, or what it waits for; a draft's is made anew each time."""
    if _is_draft(context, quote_id):
        return _draft(context, quote_id)
    return rendering.asked_for(context, "quote", quote_id, client_of=quote_id)


@loads
def _is_draft(connection: Connection, context: Context, quote_id: UUID) -> bool:
    return found(connection, context, quote_id)["number"] is None


def _draft(context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """A draft's document, marked as one, and stored nowhere."""
    content = document.pdf(_facts(context, quote_id))
    return {"kind": "quote", "content": content, "sha256": hashlib.sha256(content).hexdigest()}


def pdf(context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """The offer's document, made and stored; a worker's to call."""
    facts = _facts(context, quote_id)
    return rendering.made_once(context, "quote", quote_id, lambda: document.pdf(facts), client_of=quote_id)


@reads
def _facts(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    quote = found(connection, context, quote_id)
    if quote["client_erased_at"]:
        raise Erased(message("documents.erased", day=quote["client_erased_at"].date()))
    return facts_of(connection, quote, as_offered=True)


def facts_of(connection: Connection, quote: Quote, *, as_offered: bool = False) -> dict[str, Any]:
    """What documents say of the job that a quote became, part by part; or of the quote `as_offered`."""
    rows, summary, added = _offered(connection, quote) if as_offered else _agreed(connection, quote)
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
        "language": quote["body"]["language"],
        "material": basis["material"],
        "practice": basis["practice"],
        # What was left out when it was posted stands here with the value that it was worked out with.
        "cavities": [from_json(Cavity, row["surveyed"]) for row in rows],
        "supplements": added,
        "takeoff": {**summary, "cavities": [row["planned"] for row in rows]},
    }


# Cavities' rows, the totals, and what is said of supplements.
Facts = tuple[Sequence[Mapping[str, Any]], Mapping[str, Any], Sequence[Mapping[str, Any]]]


def _offered(connection: Connection, quote: Quote) -> Facts:
    return quotes.cavities_of(connection, quote["id"]), quote["summary"], []


def _agreed(connection: Connection, quote: Quote) -> Facts:
    job = whole(connection, quote["id"])
    return job.parts, job.summary(quote["summary"]), job.supplements


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
    quote = quotes.totals_by_id(connection, firm_id=context.firm_id, quote_id=quote_id)
    if quote is None:
        raise NotKnown(message("quotes.not_known"))
    lines = of_quote(quotes.lines_of(connection, quote_id))
    return {**_said(connection, context, quote), "takeoff": short(quote["summary"], lines)}


def _said(connection: Connection, context: Context, quote: QuoteHead) -> dict[str, Any]:
    """What both sizes of answer say of a quote."""
    accepted = quote["state"] == "accepted"
    job = jobs.of_quote(connection, quote["id"]) if accepted else None
    acceptance = acceptances.of(connection, quote["id"]) if accepted else None
    return {
        **quote["body"],
        **_head(quote, context.now.date()),
        "acceptance": accepted_by(acceptance) if acceptance else None,
        "job_id": job["id"] if job else None,
        "warnings": _warnings(connection, quote),
    }


def _warnings(connection: Connection, quote: QuoteHead) -> list[Message]:
    """What somebody may have overlooked: another quote has the same reference."""
    others = quotes.named_alike(connection, quote, folded(quote["reference"]), MOST_NAMED)
    names = tuple(each["number"] or str(each["id"]) for each in others)
    return [message("quotes.reference_again", others=names)] if names else []
