"""Once a day the service itself makes an anchor of each firm, and keeps it for whoever wants to have it.

A worker queues it as a task, so that it is made by one of several, tried again, and noticed where it
cannot be. Kept here it is as safe as the database: it proves what it is held against elsewhere.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Annotated
from uuid import UUID

from sqlalchemy import Connection, Engine
from uuid6 import uuid7

from service.engine.ground.messages import Message, message
from service.errors import Malformed, NotKnown
from service.store import anchors as stored
from service.store import firms, tasks
from service.store.row_types import Firm, some
from service.store.session import reading, writing
from service.usecases.base import journal
from service.usecases.base.context import Context, loads, reads, writes
from service.usecases.keeping import anchors
from service.usecases.keeping.anchors import Anchor

KIND = "anchor"


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptAnchor:
    """An anchor that is kept, at a glance."""

    day: Annotated[date, "the day (UTC) that it is of"]
    made_at: Annotated[datetime, "when it was made"]
    certificates: Annotated[int, "how many certificates the firm had issued by then"]
    notes: Annotated[int, "how many notes the firm's journal had by then"]


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptAnchors:
    """The anchors that are kept of the firm."""

    items: Annotated[tuple[KeptAnchor, ...], "the firm's anchors, newest first"]


def queue(database: Engine, now: datetime) -> int:
    """Let today's anchor be made of each firm that has none; returns of how many. The operator's database."""
    with reading(database) as connection:
        missing = stored.firms_without(connection, _day(now), kind=KIND)
    if missing:
        with writing(database) as connection:
            for firm_id in missing:
                tasks.add(connection, firm_id=firm_id, kind=KIND, subject_id=firm_id, now=now)
    return len(missing)


def _day(now: datetime) -> date:
    return now.astimezone(UTC).date()


def make(context: Context, firm_id: UUID) -> None:
    """Make and keep today's anchor of a firm, signed where it signs; nothing where it is kept already."""
    if (bare := _bare(context, firm_id)) is not None:
        firm, anchor = bare
        _keep(context, anchors.signed(anchor, context.settings, firm["data"], context.now))


@loads
def _bare(connection: Connection, context: Context, firm_id: UUID) -> tuple[Firm, Anchor] | None:
    if stored.of_day(connection, firm_id, _day(context.now)):
        return None
    firm = firms.by_id(connection, firm_id)
    # Two chains, and no more than one statement for each: what comes between is in the later one alone.
    return firm, anchors.of_firm(connection, firm_id, code=firm["code"], now=context.now)


@writes
def _keep(connection: Connection, context: Context, anchor: Anchor) -> None:
    anchor_id = uuid7()
    kept = stored.add(
        connection,
        {
            "id": anchor_id,
            "firm_id": context.firm_id,
            "day": _day(anchor.made_at),
            "made_at": anchor.made_at,
            "certificates": anchor.head.count,
            "notes": anchor.journal.count,
            "content": anchors.written(anchor).decode(),
        },
    )
    if kept:
        journal.note(connection, context.firm_id, "anchor", anchor_id)


@reads
def listed(connection: Connection, context: Context) -> KeptAnchors:
    """The firm's anchors."""
    names = ("day", "made_at", "certificates", "notes")
    return KeptAnchors(
        items=tuple(KeptAnchor(**some(row, names)) for row in stored.listed(connection, context.firm_id))
    )


@loads
def file(connection: Connection, context: Context, day: date) -> bytes:
    """The anchor of a day as it is handed out; raises NotKnown where none is kept."""
    kept = stored.of_day(connection, context.firm_id, day)
    if kept is None:
        raise NotKnown(message("keeping.no_anchor_of_day", day=day))
    return kept["content"].encode()


def faults(connection: Connection, firm_id: UUID) -> Iterator[Message]:
    """What of the anchors that are kept of a firm is not so any more."""
    for kept in stored.of_firm(connection, firm_id):
        for fault in _kept_faults(connection, kept["content"].encode()):
            yield message("keeping.of_kept_anchor", day=kept["day"], fault=fault)


def _kept_faults(connection: Connection, content: bytes) -> Iterator[Message]:
    try:
        anchor = anchors.read(content)
    except Malformed:
        yield message("keeping.no_anchor")
    else:
        yield from anchors.faults(connection, anchor)
