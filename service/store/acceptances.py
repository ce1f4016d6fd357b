"""Acceptances: who accepted an offer, how, and which document lay before him; what says who is erased."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.row_types import Acceptance, every, one
from service.store.tables import acceptances


def add(connection: Connection, acceptance: Mapping[str, Any]) -> None:
    """Add an acceptance."""
    connection.execute(acceptances.insert().values(**acceptance))


def of(connection: Connection, owner_id: UUID) -> Acceptance | None:
    """The acceptance of a quote, or of whatever else is offered and accepted."""
    return one(Acceptance, connection.execute(select(acceptances).where(acceptances.c.owner_id == owner_id)))


def of_quote(connection: Connection, quote_id: UUID) -> list[Acceptance]:
    """Every acceptance of a quote and of what was added to it, the oldest first."""
    statement = select(acceptances).where(acceptances.c.quote_id == quote_id)
    ordered = statement.order_by(acceptances.c.accepted_at, acceptances.c.owner_id)
    return every(Acceptance, connection.execute(ordered))


def erase(connection: Connection, quote_id: UUID, now: datetime) -> None:
    """Erase who accepted a quote and what was added to it, with the salt of the digest."""
    connection.execute(
        acceptances.update()
        .where(acceptances.c.quote_id == quote_id, acceptances.c.erased_at.is_(None))
        .values(data=None, salt=None, erased_at=now)
    )
