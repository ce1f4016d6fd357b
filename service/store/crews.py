"""Crews, their links, and the days that jobs are assigned to them."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import Any, cast
from uuid import UUID

from sqlalchemy import Connection, bindparam, exists, select

from service.store.prepared import Prepared
from service.store.row_types import AssignedCrew, AssignedJobDay, Assignment, Crew, CrewLink, Job, every, one
from service.store.tables import assigned_days, assignments, crews, jobs, keys
from service.store.types import Instant


def add(connection: Connection, crew: Mapping[str, Any]) -> None:
    """Add a crew."""
    connection.execute(crews.insert().values(**crew))


def by_id(connection: Connection, *, firm_id: UUID, crew_id: UUID) -> Crew | None:
    """A firm's crew."""
    statement = select(crews).where(crews.c.id == crew_id, crews.c.firm_id == firm_id)
    return one(Crew, connection.execute(statement))


def by_name(connection: Connection, *, firm_id: UUID, name: str) -> Crew | None:
    """A firm's crew by its name."""
    statement = select(crews).where(crews.c.firm_id == firm_id, crews.c.name == name)
    return one(Crew, connection.execute(statement))


def of_firm(connection: Connection, firm_id: UUID) -> list[Crew]:
    """A firm's crews by their names."""
    statement = select(crews).where(crews.c.firm_id == firm_id).order_by(crews.c.name)
    return every(Crew, connection.execute(statement))


def links_in_force(connection: Connection, *, firm_id: UUID, now: datetime) -> list[CrewLink]:
    """The keys of a firm's crews that still open something, without their digests."""
    statement = select(keys.c.id, keys.c.crew_id, keys.c.prefix, keys.c.created_at, keys.c.last_used_at)
    in_force = keys.c.revoked_at.is_(None) | (keys.c.revoked_at > now)
    rows = connection.execute(
        statement.where(keys.c.firm_id == firm_id, keys.c.crew_id.is_not(None), in_force)
    )
    return every(CrewLink, rows)


def assign(connection: Connection, assignment: Mapping[str, Any], days: Iterable[tuple[date, UUID]]) -> None:
    """Add a job's assignment, and put its days in the place of those before it."""
    connection.execute(assignments.insert().values(**assignment))
    job_id, firm_id = assignment["job_id"], assignment["firm_id"]
    connection.execute(assigned_days.delete().where(assigned_days.c.job_id == job_id))
    rows = [{"job_id": job_id, "firm_id": firm_id, "day": day, "crew_id": crew} for day, crew in days]
    if rows:
        connection.execute(assigned_days.insert(), rows)


def assignments_of(connection: Connection, job_id: UUID) -> list[Assignment]:
    """Every assignment of a job, the oldest first: the last one holds."""
    statement = select(assignments).where(assignments.c.job_id == job_id).order_by(assignments.c.id)
    return every(Assignment, connection.execute(statement))


def said_last(connection: Connection, firm_id: UUID) -> Iterator[tuple[Job, Any]]:
    """Each of a firm's jobs that was ever assigned, with the days that its last assignment says."""
    later = assignments.alias("later")
    last = ~exists().where(later.c.job_id == jobs.c.id, later.c.id > assignments.c.id)
    statement = select(jobs, assignments.c.days).join(assignments, assignments.c.job_id == jobs.c.id)
    for row in connection.execute(statement.where(jobs.c.firm_id == firm_id, last)).mappings():
        yield cast(Job, row), row["days"]


def kept_days(connection: Connection, firm_id: UUID) -> dict[UUID, set[tuple[str, str]]]:
    """The days and crews that a firm's jobs are kept for, as an assignment says them."""
    kept = defaultdict[UUID, set[tuple[str, str]]](set)
    for row in connection.execute(select(assigned_days).where(assigned_days.c.firm_id == firm_id)):
        kept[row.job_id].add((row.day.isoformat(), str(row.crew_id)))
    return kept


def days_of(connection: Connection, job_ids: Collection[UUID]) -> list[AssignedJobDay]:
    """The days that these jobs are assigned on, each with its crew's id and name."""
    statement = (
        select(assigned_days.c.job_id, assigned_days.c.day, assigned_days.c.crew_id, crews.c.name)
        .join(crews, crews.c.id == assigned_days.c.crew_id)
        .where(assigned_days.c.job_id.in_(job_ids))
        .order_by(assigned_days.c.day, crews.c.name)
    )
    return every(AssignedJobDay, connection.execute(statement))


_AT = Prepared(
    select(
        assigned_days.c.crew_id,
        crews.c.name,
        exists()
        .where(
            keys.c.crew_id == crews.c.id,
            keys.c.revoked_at.is_(None) | (keys.c.revoked_at > bindparam("now", type_=Instant())),
        )
        .label("linked"),
    )
    .join(crews, crews.c.id == assigned_days.c.crew_id)
    .where(assigned_days.c.job_id == bindparam("job"))
    .order_by(assigned_days.c.day, crews.c.name)
)


def at(connection: Connection, job_id: UUID, now: datetime) -> list[AssignedCrew]:
    """The crews that a job is assigned to, day by day, each with whether its link is in force."""
    return _AT.every(connection, AssignedCrew, job=job_id, now=now)


def is_assigned(connection: Connection, *, job_id: UUID, crew_id: UUID, since: date, until: date) -> bool:
    """Whether a job is assigned to a crew on a day from `since` to `until`."""
    statement = select(assigned_days.c.day).where(
        assigned_days.c.job_id == job_id,
        assigned_days.c.crew_id == crew_id,
        assigned_days.c.day.between(since, until),
    )
    return connection.execute(statement.limit(1)).first() is not None


def first_link(connection: Connection, crew_id: UUID) -> UUID | None:
    """The first key that a crew ever had, None before it has any."""
    statement = select(keys.c.id).where(keys.c.crew_id == crew_id).order_by(keys.c.id).limit(1)
    return connection.execute(statement).scalar_one_or_none()
