"""Site entries: the ledger, only ever added to."""

from collections.abc import Collection, Mapping, Sequence
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


def of_job(connection: Connection, job_id: UUID, kinds: Collection[str] | None = None) -> list[RowMapping]:
    """A job's entries in the order they were received: of all kinds, or of these."""
    statement = select(entries).where(entries.c.job_id == job_id).order_by(entries.c.position)
    if kinds is not None:
        statement = statement.where(entries.c.kind.in_(kinds))
    return list(connection.execute(statement).mappings())


def on_job(connection: Connection, job_id: UUID, ids: Collection[UUID]) -> set[UUID]:
    """Those of `ids` that are entries of the job."""
    found = select(entries.c.id).where(entries.c.job_id == job_id, entries.c.id.in_(ids))
    return set(connection.execute(found).scalars())


def parts_tallied(connection: Connection, job_ids: Collection[UUID]) -> dict[UUID, set[str]]:
    """The parts of these jobs that a tally says are done, by job; one that was corrected counts not."""
    corrections = select(entries.c.corrects).where(entries.c.corrects.is_not(None))
    rows = connection.execute(
        select(entries.c.job_id, entries.c.data).where(
            entries.c.job_id.in_(job_ids), entries.c.kind == "tally", entries.c.id.not_in(corrections)
        )
    )
    found: dict[UUID, set[str]] = {}
    for job_id, data in rows:
        found.setdefault(job_id, set()).add(data["cavity"])
    return found


def corrected(connection: Connection, ids: Collection[UUID]) -> set[UUID]:
    """Those of `ids` that an entry corrects."""
    return set(connection.execute(select(entries.c.corrects).where(entries.c.corrects.in_(ids))).scalars())
