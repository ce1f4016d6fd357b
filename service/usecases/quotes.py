"""Quotes: drafted, changed, offered, accepted or withdrawn. What was offered stays as it was."""

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping
from uuid6 import uuid7

from service.documents import quote as document
from service.engine.cavity import Cavity
from service.engine.takeoff import Takeoff
from service.errors import Conflict, NotKnown, Stale
from service.store import firms, jobs, quotes, series
from service.usecases import rendering, takeoffs
from service.usecases.basis import load
from service.usecases.context import Context, reads, writes
from service.usecases.plain import plain, structured

BODY = ("client", "site", "practice", "material", "travel_km", "extras")


@writes
def create(connection: Connection, context: Context, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Work out a building and keep it as a draft."""
    quote_id = uuid7()
    values, cavities = _worked_out(connection, context, body)
    draft = {"id": quote_id, "firm_id": context.firm_id, "state": "draft", "version": 1}
    quotes.add(connection, {**draft, **values, "created_at": context.now}, cavities)
    return _answer(connection, context, quote_id)


@writes
def change(
    connection: Connection, context: Context, quote_id: UUID, version: int, body: Mapping[str, Any]
) -> Mapping[str, Any]:
    """Put another building in the place of a draft's; raises Stale if it is not at `version` any more."""
    quote = _found(connection, context, quote_id, lock=True)
    _must_be(quote, context, "draft", "changed")
    values, cavities = _worked_out(connection, context, body)
    if not quotes.update(connection, quote_id, version, values):
        raise Stale("The quote was changed in the meantime: read it again.")
    quotes.replace_cavities(connection, quote_id, cavities)
    return _answer(connection, context, quote_id)


def _worked_out(
    connection: Connection, context: Context, body: Mapping[str, Any]
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """A quote's own values and its cavities', from the posted building."""
    takeoffs.check_size(context, body)
    on = takeoffs.day_of(context, body)
    basis = load(connection, firm_id=context.firm_id, body=body, on=on)
    found = takeoffs.work_out(basis, body, on)
    posted = {name: body[name] for name in BODY if name in body}
    summary = {name: value for name, value in plain(found).items() if name != "cavities"}
    values = {
        "reference": body["reference"],
        "body": plain({**posted, "priced_on": on}),
        "basis": plain(basis),
        "summary": summary,
        "currency": found.price.currency,
        "total": found.price.total,
        "updated_at": context.now,
    }
    return values, _cavity_rows(body, found)


def _cavity_rows(body: Mapping[str, Any], found: Takeoff) -> list[dict[str, Any]]:
    return [
        {
            "label": planned.label,
            "element": planned.element.value,
            "mass_kg": planned.mass_kg,
            "surveyed": plain(surveyed),
            "planned": plain(planned),
        }
        for surveyed, planned in zip(body["cavities"], found.cavities, strict=True)
    ]


@reads
def read(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """A quote with all that was worked out for it."""
    return _answer(connection, context, quote_id)


@reads
def listed(
    connection: Connection, context: Context, state: str | None, limit: int, after: UUID | None
) -> Mapping[str, Any]:
    """A page of quotes, newest first; `next` is the cursor of the page after it."""
    rows = quotes.page(
        connection,
        firm_id=context.firm_id,
        state=state,
        today=context.now.date(),
        limit=limit + 1,
        before=after,
    )
    return {
        "items": [_head(row, context.now.date()) for row in rows[:limit]],
        "next": rows[limit - 1]["id"] if len(rows) > limit else None,
    }


def offer(context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """Freeze a draft, give it its number and validity, and make its document."""
    offered = _offer(context, quote_id)
    pdf(context, quote_id)
    return offered


@writes
def _offer(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    quote = _found(connection, context, quote_id, lock=True)
    _must_be(quote, context, "draft", "offered")
    today = context.now.date()
    serial = series.take(connection, firm_id=context.firm_id, kind="quote", year=today.year)
    valid_days = quote["basis"]["price_list"]["valid_days"]
    _move(
        connection,
        quote,
        state="offered",
        number=f"Q-{today.year}-{serial:04d}",
        offered_at=context.now,
        valid_until=today + timedelta(days=valid_days),
    )
    return _answer(connection, context, quote_id)


@writes
def accept(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """Turn an offer into a job; refused after its validity."""
    quote = _found(connection, context, quote_id, lock=True)
    _must_be(quote, context, "offered", "accepted")
    _move(connection, quote, state="accepted", accepted_at=context.now)
    year = context.now.year
    serial = series.take(connection, firm_id=context.firm_id, kind="job", year=year)
    job = {
        "id": uuid7(),
        "firm_id": context.firm_id,
        "quote_id": quote_id,
        "number": f"J-{year}-{serial:04d}",
        "state": "open",
        "created_at": context.now,
    }
    jobs.add(connection, job)
    return _answer(connection, context, quote_id)


@writes
def withdraw(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """Take back a quote that was not accepted."""
    quote = _found(connection, context, quote_id, lock=True)
    _must_be(quote, context, ("draft", "offered", "lapsed"), "withdrawn")
    _move(connection, quote, state="withdrawn", withdrawn_at=context.now)
    return _answer(connection, context, quote_id)


def pdf(context: Context, quote_id: UUID) -> Mapping[str, Any]:
    """The offer's document: made once, stored, and served as it is."""
    facts = _facts(context, quote_id)
    return rendering.once(context, "quote", quote_id, lambda: document.pdf(facts))


@reads
def _facts(connection: Connection, context: Context, quote_id: UUID) -> Mapping[str, Any]:
    quote = _found(connection, context, quote_id)
    if quote["number"] is None:
        raise Conflict("A draft has no document: offer it first.")
    return facts_of(connection, quote)


def facts_of(connection: Connection, quote: RowMapping) -> dict[str, Any]:
    """What documents say of a quote and the job that it became."""
    rows = quotes.cavities_of(connection, quote["id"])
    basis: Mapping[str, Any] = quote["basis"]
    return {
        "number": quote["number"],
        "reference": quote["reference"],
        "offered_at": quote["offered_at"],
        "valid_until": quote["valid_until"],
        "firm": firms.by_id(connection, quote["firm_id"])["data"],
        "client": quote["body"]["client"],
        "site": quote["body"]["site"],
        "market": basis["practice"]["market"],
        "material": basis["material"],
        "practice": basis["practice"],
        # What was left out when it was posted stands here with the value that it was worked out with.
        "cavities": [structured(Cavity, row["surveyed"]) for row in rows],
        "takeoff": {**quote["summary"], "cavities": [row["planned"] for row in rows]},
    }


def _found(connection: Connection, context: Context, quote_id: UUID, *, lock: bool = False) -> RowMapping:
    quote = quotes.by_id(connection, firm_id=context.firm_id, quote_id=quote_id, lock=lock)
    if quote is None:
        raise NotKnown("There is no such quote.")
    return quote


def _must_be(quote: RowMapping, context: Context, states: str | tuple[str, ...], to_be: str) -> None:
    present = state_on(quote, context.now.date())
    if present not in ((states,) if isinstance(states, str) else states):
        raise Conflict(f"The quote is {present} and cannot be {to_be}.")


def _move(connection: Connection, quote: RowMapping, **values: Any) -> None:
    moment: datetime = next(value for value in values.values() if isinstance(value, datetime))
    if not quotes.update(connection, quote["id"], quote["version"], {**values, "updated_at": moment}):
        raise Stale("The quote was changed in the meantime: read it again.")


def state_on(quote: RowMapping, day: date) -> str:
    """The state of a quote on a day: an offer lapses by itself."""
    lapsed = quote["state"] == "offered" and quote["valid_until"] < day
    return "lapsed" if lapsed else quote["state"]


def _head(quote: RowMapping, today: date) -> dict[str, Any]:
    names = ("id", "number", "reference", "version", "currency", "created_at", "updated_at")
    moments = ("offered_at", "valid_until", "accepted_at", "withdrawn_at")
    total: Decimal = quote["total"]
    return {
        **{name: quote[name] for name in names + moments},
        "state": state_on(quote, today),
        "client": quote["body"]["client"],
        "site": quote["body"]["site"],
        "total": total,
    }


def _answer(connection: Connection, context: Context, quote_id: UUID) -> dict[str, Any]:
    quote = _found(connection, context, quote_id)
    rows = quotes.cavities_of(connection, quote_id)
    job = jobs.of_quote(connection, quote_id) if quote["state"] == "accepted" else None
    return {
        **_head(quote, context.now.date()),
        **quote["body"],
        "cavities": [row["surveyed"] for row in rows],
        "takeoff": {**quote["summary"], "cavities": [row["planned"] for row in rows]},
        "job_id": job["id"] if job else None,
    }
