"""What a month's summary is added up from: heads of quotes, and the jobs that began."""

from uuid import UUID

from sqlalchemy import Connection, select

from service.store.finding import Days, made_between
from service.store.quote_options import AGREED, with_agreed
from service.store.row_types import Job, every
from service.store.tables import jobs, quotes


def quotes_between(connection: Connection, *, firm_id: UUID, days: Days) -> list[dict[str, object]]:
    """State, last day, currency and total of each quote that was drafted on these days."""
    names = ("state", "valid_until", "currency", "total")
    statement = with_agreed(select(*(AGREED[name] for name in names)).select_from(quotes)).where(
        quotes.c.firm_id == firm_id, *made_between(quotes, days)
    )
    return every(dict[str, object], connection.execute(statement))


def jobs_between(connection: Connection, *, firm_id: UUID, days: Days, most: int) -> list[Job]:
    """Up to `most` jobs that began on these days, the oldest first."""
    statement = select(jobs).where(jobs.c.firm_id == firm_id, *made_between(jobs, days))
    return every(Job, connection.execute(statement.order_by(jobs.c.id).limit(most)))
