"""Jobs: offers that were accepted."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select

from service.store.tables import jobs


def add(connection: Connection, job: Mapping[str, Any]) -> None:
    """Add a job."""
    connection.execute(jobs.insert().values(**job))


def by_id(connection: Connection, *, firm_id: UUID, job_id: UUID, lock: bool = False) -> RowMapping | None:
    """A firm's job; `lock` holds it against other writers until the transaction ends."""
    statement = select(jobs).where(jobs.c.id == job_id, jobs.c.firm_id == firm_id)
    return connection.execute(statement.with_for_update() if lock else statement).mappings().one_or_none()


def of_quote(connection: Connection, quote_id: UUID, *, lock: bool = False) -> RowMapping | None:
    """The job that an accepted quote became; `lock` holds it until the transaction ends."""
    statement = select(jobs).where(jobs.c.quote_id == quote_id)
    return connection.execute(statement.with_for_update() if lock else statement).mappings().one_or_none()


def by_number(connection: Connection, *, firm_id: UUID, number: str) -> RowMapping | None:
    """A firm's job by its number."""
    statement = select(jobs).where(jobs.c.firm_id == firm_id, jobs.c.number == number)
    return connection.execute(statement).mappings().one_or_none()


def page(connection: Connection, *, firm_id: UUID, limit: int, before: UUID | None) -> list[RowMapping]:
    """Up to `limit` jobs, newest first, older than `before`."""
    statement = select(jobs).where(jobs.c.firm_id == firm_id)
    if before:
        statement = statement.where(jobs.c.id < before)
    return list(connection.execute(statement.order_by(jobs.c.id.desc()).limit(limit)).mappings())


def set_state(connection: Connection, job_id: UUID, state: str) -> None:
    """Move a job to another state."""
    connection.execute(jobs.update().where(jobs.c.id == job_id).values(state=state))
