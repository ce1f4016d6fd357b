"""The clients' personal data, a row for each quote: the only data that may be erased."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.row_types import Client, the_one
from service.store.tables import clients


def add(connection: Connection, client: Mapping[str, Any]) -> None:
    """Add the client of a draft."""
    connection.execute(clients.insert(), client)


def replace(connection: Connection, client: Mapping[str, Any]) -> None:
    """Put another client in the place of a draft's."""
    connection.execute(clients.delete().where(clients.c.quote_id == client["quote_id"]))
    add(connection, client)


def of_quote(connection: Connection, quote_id: UUID) -> Client:
    """The client of a quote."""
    return the_one(Client, connection.execute(select(clients).where(clients.c.quote_id == quote_id)))


def erase(connection: Connection, quote_id: UUID, *, reason: str, key_id: UUID, now: datetime) -> bool:
    """Erase the data and the salt of its digest; False when that was done before."""
    erased = connection.execute(
        clients.update()
        .where(clients.c.quote_id == quote_id, clients.c.erased_at.is_(None))
        .values(data=None, salt=None, erased_at=now, reason=reason, key_id=key_id)
    )
    return erased.rowcount == 1
