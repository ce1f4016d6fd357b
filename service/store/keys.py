"""Access keys: only the digest of a key is kept."""

from datetime import datetime
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select
from uuid6 import uuid7

from service.store.tables import firms, keys


def add(
    connection: Connection,
    *,
    firm_id: UUID,
    prefix: str,
    digest: str,
    roles: list[str],
    label: str,
    now: datetime,
) -> UUID:
    """Add a key; returns its id."""
    key_id = uuid7()
    connection.execute(
        keys.insert().values(
            id=key_id,
            firm_id=firm_id,
            prefix=prefix,
            digest=digest,
            roles=roles,
            label=label,
            created_at=now,
        )
    )
    return key_id


def in_force(connection: Connection, digest: str) -> RowMapping | None:
    """The unrevoked key with this digest."""
    found = connection.execute(select(keys).where(keys.c.digest == digest, keys.c.revoked_at.is_(None)))
    return found.mappings().one_or_none()


def every(connection: Connection) -> list[RowMapping]:
    """Every key with its firm's code, oldest first; never a digest."""
    rows = connection.execute(
        select(
            keys.c.id,
            firms.c.code.label("firm"),
            keys.c.prefix,
            keys.c.label,
            keys.c.roles,
            keys.c.created_at,
            keys.c.revoked_at,
        )
        .join(firms, firms.c.id == keys.c.firm_id)
        .order_by(keys.c.id)
    )
    return list(rows.mappings())


def revoke(connection: Connection, prefix: str, now: datetime) -> int:
    """Revoke the key with this prefix; returns how many that were in force."""
    return connection.execute(
        keys.update().where(keys.c.prefix == prefix, keys.c.revoked_at.is_(None)).values(revoked_at=now)
    ).rowcount
