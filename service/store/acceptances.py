"""Who accepted an offer or refused it, how, and which document lay before him; what says who is erased."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, bindparam, select

from service.store.prepared import Prepared
from service.store.row_types import Acceptance, every
from service.store.tables import acceptances


def add(connection: Connection, acceptance: Mapping[str, Any]) -> None:
    """Add an acceptance, or a refusal."""
    connection.execute(acceptances.insert().values(**acceptance))


_OF = Prepared(select(acceptances).where(acceptances.c.owner_id == bindparam("owner")))


def of(connection: Connection, owner_id: UUID) -> Acceptance | None:
    """What was said to the offer of a quote, or of whatever else is offered: accepted, or refused."""
    return _OF.one(connection, Acceptance, owner=owner_id)


def of_quote(connection: Connection, quote_id: UUID) -> list[Acceptance]:
    """All that was said to a quote and to what was added to it, the oldest first."""
    statement = select(acceptances).where(acceptances.c.quote_id == quote_id)
    ordered = statement.order_by(acceptances.c.said_at, acceptances.c.owner_id)
    return every(Acceptance, connection.execute(ordered))


def erase(connection: Connection, quote_id: UUID, now: datetime) -> None:
    """Erase who accepted or refused a quote and what was added to it, with the salt of the digest."""
    connection.execute(
        acceptances.update()
        .where(acceptances.c.quote_id == quote_id, acceptances.c.erased_at.is_(None))
        .values(data=None, salt=None, erased_at=now)
    )
