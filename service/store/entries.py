"""Site entries: the ledger, only ever added to."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, func, select

from service.store.row_types import Entry, every
from service.store.tables import entries


def add_all(connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
    """Add a batch in one statement."""
    connection.execute(entries.insert(), list(rows))


def last_position(connection: Connection, job_id: UUID) -> int:
    """The position of a job's latest entry; 0 when there is none."""
    highest = select(func.max(entries.c.position)).where(entries.c.job_id == job_id)
    return connection.execute(highest).scalar_one() or 0


def of_job(
    connection: Connection, job_id: UUID, kinds: Collection[str] | None = None, after: int = 0
) -> list[Entry]:
    """A job's entries in the order of commit: of all kinds, or of these, and after a position.

    Positions are given out under the job's lock, which is held until the commit: what
    has a lower position was committed before, and is seen by whoever sees a higher one.
    """
    statement = select(entries).where(entries.c.job_id == job_id, entries.c.position > after)
    if kinds is not None:
        statement = statement.where(entries.c.kind.in_(kinds))
    return every(Entry, connection.execute(statement.order_by(entries.c.position)))


def of_ids(connection: Connection, job_id: UUID, ids: Collection[UUID]) -> dict[UUID, Entry]:
    """Those entries of a job that have these ids, by their id."""
    found = select(entries).where(entries.c.job_id == job_id, entries.c.id.in_(ids))
    return {row["id"]: row for row in every(Entry, connection.execute(found))}


def corrections(connection: Connection, job_id: UUID) -> dict[UUID, UUID]:
    """The correction of each entry of a job that has one, by id."""
    found = select(entries.c.corrects, entries.c.id).where(
        entries.c.job_id == job_id, entries.c.corrects.is_not(None)
    )
    return {row.corrects: row.id for row in connection.execute(found)}


def parts_tallied(connection: Connection, job_ids: Collection[UUID]) -> dict[UUID, set[str]]:
    """The parts of these jobs that a tally says are done, by job; one that was corrected counts not."""
    other = entries.alias()
    corrected = select(other.c.id).where(other.c.job_id == entries.c.job_id, other.c.corrects == entries.c.id)
    rows = connection.execute(
        select(entries.c.job_id, entries.c.kind, entries.c.data).where(
            entries.c.job_id.in_(job_ids),
            entries.c.kind.in_(("tally", "correction")),
            ~corrected.exists(),
        )
    )
    found: dict[UUID, set[str]] = {}
    for job_id, kind, data in rows:
        said = data if kind == "tally" else data.get("replacement")
        if said and said.get("kind", kind) == "tally":
            found.setdefault(job_id, set()).add(said["cavity"])
    return found
