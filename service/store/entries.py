"""Site entries: the ledger, only ever added to."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, func, select

from service.store.tables import entries


def add_all(connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
    """Add a batch in one statement."""
    connection.execute(entries.insert(), list(rows))


def last_position(connection: Connection, job_id: UUID) -> int:
    """The position of a job's latest entry; 0 when there is none."""
    highest = select(func.max(entries.c.position)).where(entries.c.job_id == job_id)
    return connection.execute(highest).scalar_one() or 0


def of_job(connection: Connection, job_id: UUID) -> list[RowMapping]:
    """A job's entries in the order they were received."""
    rows = connection.execute(select(entries).where(entries.c.job_id == job_id).order_by(entries.c.position))
    return list(rows.mappings())
