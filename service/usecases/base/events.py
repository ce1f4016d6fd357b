"""Events: what happened that a firm's own systems want to know, told in the transaction of the change.

An event holds ids and states, nothing of a client: who is told of it asks for the rest with his key.
It is told last in its transaction, for the firm's other events wait from then on until the commit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.vocabulary import EventKind
from service.store import deliveries, events, subscriptions
from service.store.row_types import Delivery
from service.store.row_types import Event as Row
from service.usecases.base.context import Context, reads
from service.usecases.base.json import to_json
from service.usecases.base.outbox import queue
from service.usecases.base.seals import chained, digest


@dataclass(frozen=True, slots=True, kw_only=True)
class EventData:
    """What an event is about: ids and states."""

    state: Annotated[str, "the state that the quote, job or certificate has now"]
    quote_id: Annotated[UUID, "the quote that it belongs to"]
    job_id: Annotated[UUID | None, "the job, once there is one"] = None
    certificate_id: Annotated[UUID | None, "the certificate, of events of certificates"] = None
    superseded_by: Annotated[UUID | None, "the certificate in whose place it came"] = None
    entry_id: Annotated[UUID | None, "the entry that says that the part is done"] = None
    parts_done: Annotated[int | None, "how many parts are done by then"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that happened, as it is listed and as it is delivered."""

    id: Annotated[UUID, "the event's id: the same however often it is delivered"]
    position: Annotated[int, "its place in the order of commit, from 1"]
    type: Annotated[EventKind, "what happened"]
    timestamp: Annotated[datetime, "when it happened"]
    data: Annotated[EventData, "what it is about"]


@dataclass(frozen=True, slots=True, kw_only=True)
class EventPage:
    """Events in the order of commit."""

    items: Annotated[tuple[Event, ...], "the events of this page"]
    next: Annotated[int | None, "what to ask for `after` to have the next page; null: there is none yet"]


def tell(
    connection: Connection, context: Context, kind: EventKind, subject_id: UUID, data: EventData
) -> None:
    """Tell that something happened, and let it be delivered to whoever wants to know."""
    tell_all(connection, context, kind, [(subject_id, data)])


def tell_all(
    connection: Connection, context: Context, kind: EventKind, told: Sequence[tuple[UUID, EventData]]
) -> None:
    """Tell that something happened to each of these, in this order."""
    rows = _added(connection, context, kind, told)
    for subscription in subscriptions.of_firm(connection, context.firm_id, hold=True):
        if kind.value in subscription["kinds"]:
            for row in rows:
                _deliver(connection, context, subscription["id"], row["id"])


def _added(
    connection: Connection, context: Context, kind: EventKind, told: Sequence[tuple[UUID, EventData]]
) -> list[Row]:
    rows: list[Row] = []
    first, end = events.take(connection, firm_id=context.firm_id, count=len(told))
    for position, (subject, data) in enumerate(told, start=first):
        row: Row = {
            "id": uuid7(),
            "firm_id": context.firm_id,
            "position": position,
            "kind": kind.value,
            "subject_id": subject,
            "data": to_json(data),
            "happened_at": context.now,
            "chain_sha256": end,
        }
        row["chain_sha256"] = end = chained_after(end, row)
        rows.append(row)
    events.add_all(connection, rows)
    return rows


def chained_after(previous: str, event: Row) -> str:
    """The digest of an event and all before it."""
    told = {name: value for name, value in event.items() if name != "chain_sha256"}
    return chained(previous, digest(told))


def _deliver(connection: Connection, context: Context, subscription_id: UUID, event_id: UUID) -> None:
    row: Delivery = {
        "id": uuid7(),
        "firm_id": context.firm_id,
        "subscription_id": subscription_id,
        "event_id": event_id,
    }
    deliveries.add(connection, row)
    queue(connection, context, deliveries.KIND, row["id"])


@reads
def listed(connection: Connection, context: Context, after: int, limit: int) -> Mapping[str, Any]:
    """A page of the firm's events after a position; none is ever added before one that was seen."""
    rows = events.after(connection, firm_id=context.firm_id, position=after, limit=limit + 1)
    return {
        "items": [shown(row) for row in rows[:limit]],
        "next": rows[limit - 1]["position"] if len(rows) > limit else None,
    }


def shown(row: Row) -> dict[str, Any]:
    """An event as it is answered and delivered."""
    return {
        "id": row["id"],
        "position": row["position"],
        "type": row["kind"],
        "timestamp": row["happened_at"],
        "data": row["data"],
    }
