"""Jobs: offers that were accepted."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Connection, select

from service.store.finding import ANY, Sought, newest_first
from service.store.row_types import Job, every, one
from service.store.tables import assigned_days, jobs


def add(connection: Connection, job: Mapping[str, Any]) -> None:
    """Add a job."""
    connection.execute(jobs.insert().values(**job))


def by_id(connection: Connection, *, firm_id: UUID, job_id: UUID, lock: bool = False) -> Job | None:
    """A firm's job; `lock` holds it against other writers until the transaction ends."""
    statement = select(jobs).where(jobs.c.id == job_id, jobs.c.firm_id == firm_id)
    return one(Job, connection.execute(statement.with_for_update() if lock else statement))


def of_quote(connection: Connection, quote_id: UUID, *, lock: bool = False) -> Job | None:
    """The job that an accepted quote became; `lock` holds it until the transaction ends."""
    statement = select(jobs).where(jobs.c.quote_id == quote_id)
    return one(Job, connection.execute(statement.with_for_update() if lock else statement))


def by_number(connection: Connection, *, firm_id: UUID, number: str) -> Job | None:
    """A firm's job by its number."""
    statement = select(jobs).where(jobs.c.firm_id == firm_id, jobs.c.number == number)
    return one(Job, connection.execute(statement))


def page(
    connection: Connection,
    *,
    firm_id: UUID,
    limit: int,
    before: UUID | None,
    crew: UUID | None = None,
    since: date | None = None,
    until: date | None = None,
    state: str | None = None,
    sought: Sought = ANY,
) -> list[Job]:
    """Up to `limit` jobs, newest first, older than `before`; assigned as is asked for, in a state."""
    statement = select(jobs)
    if state:
        statement = statement.where(jobs.c.state == state)
    if assigned := _assigned(crew, since, until):
        days = select(assigned_days.c.job_id).where(assigned_days.c.firm_id == firm_id, *assigned)
        statement = statement.where(jobs.c.id.in_(days))
    statement = newest_first(statement, jobs, firm_id=firm_id, sought=sought, before=before, limit=limit)
    return every(Job, connection.execute(statement))


def _assigned(crew: UUID | None, since: date | None, until: date | None) -> list[ColumnElement[bool]]:
    wanted = []
    if crew:
        wanted.append(assigned_days.c.crew_id == crew)
    if since:
        wanted.append(assigned_days.c.day >= since)
    if until:
        wanted.append(assigned_days.c.day <= until)
    return wanted


def set_state(
    connection: Connection, job_id: UUID, state: str, *, moved_on_at: datetime | None = None
) -> None:
    """Move a job to another state; `moved_on_at` is since when an entry is newer than its certificate."""
    connection.execute(jobs.update().where(jobs.c.id == job_id).values(state=state, moved_on_at=moved_on_at))
