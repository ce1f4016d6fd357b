"""Firms: whose rows are whose."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, String, select, type_coerce
from uuid6 import uuid7

from service.store.row_types import Firm, one, the_one
from service.store.row_types import every as all_of
from service.store.tables import firms


def add(connection: Connection, *, code: str, data: Mapping[str, Any], now: datetime) -> UUID:
    """Add a firm; returns its id."""
    firm_id = uuid7()
    connection.execute(firms.insert().values(id=firm_id, code=code, data=dict(data), created_at=now))
    return firm_id


def change(connection: Connection, firm_id: UUID, data: Mapping[str, Any]) -> None:
    """Give a firm other data; what was issued before keeps what it said."""
    connection.execute(firms.update().where(firms.c.id == firm_id).values(data=dict(data)))


def by_code(connection: Connection, code: str) -> Firm | None:
    """The firm with this code."""
    return one(Firm, connection.execute(select(firms).where(firms.c.code == code)))


def by_id(connection: Connection, firm_id: UUID, *, lock: bool = False) -> Firm:
    """The firm of a row that names it; `lock` holds off others who lock it, and nobody else."""
    statement = select(firms).where(firms.c.id == firm_id)
    locking = statement.with_for_update(key_share=True)
    return the_one(Firm, connection.execute(locking if lock else statement))


def every(connection: Connection) -> list[Firm]:
    """All firms, oldest first."""
    return all_of(Firm, connection.execute(select(firms).order_by(firms.c.id)))


def codes(connection: Connection) -> list[tuple[str, str]]:
    """The id and the code of every firm as they are stored, oldest first: they need not be readable."""
    stored = (type_coerce(column, String) for column in (firms.c.id, firms.c.code))
    return [(str(row[0]), str(row[1])) for row in connection.execute(select(*stored).order_by(firms.c.id))]
