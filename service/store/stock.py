"""What jobs say of material, and what they were planned to take."""

from collections.abc import Collection
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.quote_options import AGREED, with_agreed
from service.store.row_types import Entry, every
from service.store.tables import entries, jobs, quotes

KINDS = ("delivery", "reclaimed")


def said(connection: Connection, *, firm_id: UUID) -> list[Entry]:
    """Every entry of a firm about material that came, went or was vacuumed up, with its corrections."""
    # A correction names what it corrects, which may be a correction itself: all of them are read.
    kinds = entries.c.kind.in_((*KINDS, "correction"))
    statement = select(entries).where(entries.c.firm_id == firm_id, kinds)
    ordered = statement.order_by(entries.c.job_id, entries.c.position)
    return every(Entry, connection.execute(ordered))


def materials(connection: Connection, job_ids: Collection[UUID]) -> dict[UUID, str]:
    """The code of the material that each of these jobs was offered with."""
    statement = select(jobs.c.id.label("job_id"), AGREED["body"]).select_from(jobs)
    statement = statement.join(quotes, quotes.c.id == jobs.c.quote_id)
    found = connection.execute(with_agreed(statement).where(jobs.c.id.in_(job_ids)))
    return {row.job_id: row.body["material"] for row in found}


def plans(connection: Connection, quote_ids: Collection[UUID]) -> dict[UUID, dict[str, Any]]:
    """What these quotes order, and their totals."""
    statement = select(*(AGREED[name] for name in ("id", "body", "summary"))).select_from(quotes)
    mine = with_agreed(statement).where(quotes.c.id.in_(quote_ids))
    return {row.id: {"body": row.body, "summary": row.summary} for row in connection.execute(mine)}
