"""Client links: who holds one may read one certificate until it expires."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select

from service.store.tables import links


def add(connection: Connection, link: Mapping[str, Any]) -> None:
    """Add a link."""
    connection.execute(links.insert().values(**link))


def by_id(connection: Connection, link_id: UUID) -> RowMapping | None:
    """A link, whether or not it still holds."""
    return connection.execute(select(links).where(links.c.id == link_id)).mappings().one_or_none()
