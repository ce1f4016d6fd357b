"""Client links: who holds one may read one quote or certificate until it expires."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.row_types import Link, every, one
from service.store.tables import links


def add(connection: Connection, link: Mapping[str, Any]) -> None:
    """Add a link."""
    connection.execute(links.insert().values(**link))


def in_force(connection: Connection, link_id: UUID, now: datetime) -> Link | None:
    """A link that is neither revoked nor expired."""
    found = connection.execute(
        select(links).where(links.c.id == link_id, links.c.revoked_at.is_(None), links.c.expires_at > now)
    )
    return one(Link, found)


def of(connection: Connection, *, kind: str, owner_id: UUID, now: datetime) -> list[Link]:
    """The links to a quote or a certificate that are neither revoked nor expired, the oldest first."""
    rows = connection.execute(
        select(links)
        .where(
            links.c.kind == kind,
            links.c.owner_id == owner_id,
            links.c.revoked_at.is_(None),
            links.c.expires_at > now,
        )
        .order_by(links.c.created_at, links.c.id)
    )
    return every(Link, rows)


def revoke(connection: Connection, *, firm_id: UUID, link_id: UUID, now: datetime) -> int:
    """Revoke a firm's link; returns how many that were not revoked before."""
    return connection.execute(
        links.update()
        .where(links.c.id == link_id, links.c.firm_id == firm_id, links.c.revoked_at.is_(None))
        .values(revoked_at=now)
    ).rowcount
