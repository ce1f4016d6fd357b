"""Jobs: offers that were accepted."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, ColumnElement, Connection, bindparam, exists, select, type_coerce

from service.store import finding
from service.store.finding import ANY, Sought
from service.store.prepared import Prepared
from service.store.quote_options import AGREED, SHORT_SINGLY, with_agreed
from service.store.row_types import Job, ShortJob, every, one
from service.store.tables import assigned_days, clients, firms, jobs, quotes, supplements
from service.store.types import as_written


def add(connection: Connection, job: Mapping[str, Any]) -> None:
    """Add a job."""
    connection.execute(jobs.insert().values(**job))


def by_id(connection: Connection, *, firm_id: UUID, job_id: UUID, lock: bool = False) -> Job | None:
    """A firm's job; `lock` holds it against other writers until the transaction ends."""
    statement = select(jobs).where(jobs.c.id == job_id, jobs.c.firm_id == firm_id)
    return one(Job, connection.execute(statement.with_for_update() if lock else statement))


_SHORT = Prepared(
    with_agreed(
        select(
            *jobs.c,
            quotes.c.number.label("quote_number"),
            *(AGREED[name] for name in ("reference", "offered_at", "valid_until", "body")),
            as_written(SHORT_SINGLY).label("short"),
            type_coerce(SHORT_SINGLY, JSON())["undeclared"].label("undeclared"),
            clients.c.data.label("client"),
            clients.c.erased_at.label("client_erased_at"),
            firms.c.data["phone"].as_string().label("phone"),
            exists().where(supplements.c.job_id == jobs.c.id).label("supplemented"),
        )
        .join(quotes, quotes.c.id == jobs.c.quote_id)
        .join(clients, clients.c.quote_id == jobs.c.quote_id)
        .join(firms, firms.c.id == jobs.c.firm_id)
    ).where(jobs.c.id == bindparam("job"), jobs.c.firm_id == bindparam("firm"))
)


def short_by_id(connection: Connection, *, firm_id: UUID, job_id: UUID) -> ShortJob | None:
    """A firm's job as it is answered in short, part by part, as if it had no supplements."""
    return _SHORT.one(connection, ShortJob, job=job_id, firm=firm_id)


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
    rows = [jobs.c.state == state] if state else []
    if assigned := _assigned(crew, since, until):
        days = select(assigned_days.c.job_id).where(assigned_days.c.firm_id == firm_id, *assigned)
        rows.append(jobs.c.id.in_(days))
    asked: dict[str, Any] = {"firm_id": firm_id, "sought": sought, "before": before, "limit": limit}
    return every(Job, finding.page(connection, select(jobs), jobs, **asked, rows=rows))


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


def set_ready(connection: Connection, job_id: UUID, since: datetime | None) -> None:
    """Note since when a job is ready for its certificate; None: it is not."""
    connection.execute(jobs.update().where(jobs.c.id == job_id).values(ready_since=since))
