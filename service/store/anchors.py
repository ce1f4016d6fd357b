"""Anchors that the service itself keeps, one for each firm and day."""

from collections.abc import Iterator
from datetime import date
from uuid import UUID

from sqlalchemy import Connection, exists, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.row_types import KeptAnchor, WholeAnchor, every, one, stream
from service.store.tables import anchors, firms, tasks

_WITHOUT_CONTENT = [column for column in anchors.c if column is not anchors.c.content]


def add(connection: Connection, row: WholeAnchor) -> bool:
    """Keep an anchor, unless one is kept of its firm and day: the first stays, and the answer is False."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(anchors).values(**row).on_conflict_do_nothing()
    return connection.execute(insert.returning(anchors.c.id)).first() is not None


def of_day(connection: Connection, firm_id: UUID, day: date) -> WholeAnchor | None:
    """The anchor of a firm and day."""
    found = select(anchors).where(anchors.c.firm_id == firm_id, anchors.c.day == day)
    return one(WholeAnchor, connection.execute(found))


def listed(connection: Connection, firm_id: UUID) -> list[KeptAnchor]:
    """A firm's anchors without their content, newest first."""
    mine = select(*_WITHOUT_CONTENT).where(anchors.c.firm_id == firm_id)
    return every(KeptAnchor, connection.execute(mine.order_by(anchors.c.day.desc())))


def of_firm(connection: Connection, firm_id: UUID) -> Iterator[WholeAnchor]:
    """A firm's anchors, one after the other, oldest first."""
    mine = select(anchors).where(anchors.c.firm_id == firm_id).order_by(anchors.c.day)
    yield from stream(WholeAnchor, connection.execute(mine.execution_options(yield_per=100)))


def firms_without(connection: Connection, day: date, *, kind: str) -> list[UUID]:
    """The firms of which none is kept of a day, nor is a task of this kind to make it."""
    kept = exists().where(anchors.c.firm_id == firms.c.id, anchors.c.day == day)
    awaited = exists().where(tasks.c.subject_id == firms.c.id, tasks.c.kind == kind)
    return list(connection.execute(select(firms.c.id).where(~kept, ~awaited).order_by(firms.c.id)).scalars())
