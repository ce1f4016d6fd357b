"""Site entries: the ledger, only ever added to."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, bindparam, case, func, or_, select

from service.store.prepared import Prepared
from service.store.row_types import Entry, SaidEntry, every, stream
from service.store.tables import entries

_CAVITY = entries.c.data["cavity"].as_string()
_REPLACED = {name: entries.c.data["replacement", name].as_string() for name in ("kind", "cavity")}
"""What a correction says takes the place of another entry."""


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


# Made once, and without whose it is: a ledger may have thousands.
_SAID = Prepared(
    select(*(entries.c[name] for name in SaidEntry.__annotations__))
    .where(entries.c.job_id == bindparam("job"))
    .order_by(entries.c.position)
)


def said_in(connection: Connection, job_id: UUID) -> list[SaidEntry]:
    """What a job's entries say, in the order of commit."""
    return _SAID.every(connection, SaidEntry, job=job_id)


def of_ids(connection: Connection, job_id: UUID, ids: Collection[UUID]) -> dict[UUID, Entry]:
    """Those entries of a job that have these ids, by their id."""
    found = select(entries).where(entries.c.job_id == job_id, entries.c.id.in_(ids))
    return {row["id"]: row for row in every(Entry, connection.execute(found))}


def of_parts(
    connection: Connection, job_id: UUID, kinds: Collection[str], labels: Collection[str]
) -> list[Entry]:
    """Those entries of a job of these kinds that are of these parts, in the order of commit.

    A correction is of the part that it says takes the place of another.
    """
    mine = select(entries).where(entries.c.job_id == job_id, entries.c.kind.in_(kinds))
    named = or_(_CAVITY.in_(labels), _REPLACED["cavity"].in_(labels))
    return every(Entry, connection.execute(mine.where(named).order_by(entries.c.position)))


def corrections(
    connection: Connection, job_id: UUID, ids: Collection[UUID] | None = None
) -> dict[UUID, UUID]:
    """The correction of each entry of a job that has one, by id: of all, or of these."""
    found = select(entries.c.corrects, entries.c.id).where(entries.c.job_id == job_id)
    corrected = entries.c.corrects.is_not(None) if ids is None else entries.c.corrects.in_(ids)
    return {row.corrects: row.id for row in connection.execute(found.where(corrected))}


def labels_named(connection: Connection, job_id: UUID) -> tuple[set[str], list[Any]]:
    """The parts that a job's entries are of; and what is said by those that are of none by themselves."""
    mine = entries.c.job_id == job_id
    one = connection.execute(select(_CAVITY).where(mine, _CAVITY.is_not(None)).distinct())
    other = connection.execute(select(entries.c.data).where(mine, _CAVITY.is_(None)))
    return set(one.scalars()), list(other.scalars())


def newer_of_parts(
    connection: Connection, job_id: UUID, after: int, labels: Collection[str]
) -> Iterator[Entry]:
    """A job's entries after a position that may be of these parts, one after another.

    What names another part and nothing else is left out.
    """
    newer = select(entries).where(entries.c.job_id == job_id, entries.c.position > after)
    may_be = newer.where(_CAVITY.in_(labels) | _CAVITY.is_(None)).order_by(entries.c.position)
    yield from stream(Entry, connection.execute(may_be.execution_options(yield_per=100)))


def parts_tallied(
    connection: Connection, job_ids: Collection[UUID], labels: Collection[str] | None = None
) -> dict[UUID, set[str]]:
    """The parts of these jobs that a tally says are done, by job; one that was corrected counts not.

    All of them, or which of these `labels` there are.
    """
    other = entries.alias()
    corrected = select(other.c.id).where(other.c.job_id == entries.c.job_id, other.c.corrects == entries.c.id)
    is_tally = entries.c.kind == "tally"
    became_one = (entries.c.kind == "correction") & (_REPLACED["kind"] == "tally")
    label = case((is_tally, _CAVITY), else_=_REPLACED["cavity"])
    done = select(entries.c.job_id, label).where(
        entries.c.job_id.in_(job_ids), is_tally | became_one, ~corrected.exists()
    )
    found: dict[UUID, set[str]] = {}
    for job_id, part in connection.execute(done if labels is None else done.where(label.in_(labels))):
        found.setdefault(job_id, set()).add(part)
    return found
