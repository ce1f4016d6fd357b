"""Access keys: only the digest of a key is kept."""

from collections.abc import Collection
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, bindparam, or_, select
from uuid6 import uuid7

from service.store.prepared import Prepared
from service.store.row_types import Key, KeyHead, KeyOfFirm
from service.store.row_types import every as all_of
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
    first_id: UUID | None = None,
    crew_id: UUID | None = None,
) -> UUID:
    """Add a key, or one in the place of others of which `first_id` was the first; returns its id."""
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
            first_id=first_id,
            crew_id=crew_id,
        )
    )
    return key_id


_BY_PREFIX = Prepared(select(keys).where(keys.c.prefix == bindparam("of")))


def by_prefix(connection: Connection, prefix: str) -> Key | None:
    """The key with this prefix, in force or not."""
    return _BY_PREFIX.one(connection, Key, of=prefix)


def by_ids(connection: Connection, ids: Collection[UUID]) -> list[Key]:
    """These keys, oldest first."""
    return all_of(Key, connection.execute(select(keys).where(keys.c.id.in_(ids)).order_by(keys.c.id)))


def every(connection: Connection) -> list[KeyOfFirm]:
    """Every key with its firm's code, oldest first; never a digest."""
    shown = [column for column in keys.c if column is not keys.c.digest]
    rows = connection.execute(
        select(*shown, firms.c.code.label("firm"))
        .join(firms, firms.c.id == keys.c.firm_id)
        .order_by(keys.c.id)
    )
    return all_of(KeyOfFirm, rows)


def of_firm(connection: Connection, firm_id: UUID) -> list[KeyHead]:
    """A firm's keys without those of crews, oldest first; never a digest."""
    shown = [column for column in keys.c if column is not keys.c.digest]
    mine = select(*shown).where(keys.c.firm_id == firm_id, keys.c.crew_id.is_(None))
    return all_of(KeyHead, connection.execute(mine.order_by(keys.c.id)))


def end(connection: Connection, prefix: str, *, at: datetime, now: datetime) -> int:
    """Let the key with this prefix end; returns how many that were in force."""
    return connection.execute(
        keys.update().where(keys.c.prefix == prefix, _in_force(now)).values(revoked_at=at)
    ).rowcount


def _in_force(now: datetime) -> Any:
    return or_(keys.c.revoked_at.is_(None), keys.c.revoked_at > now)


def note_use(connection: Connection, key_id: UUID, now: datetime) -> None:
    """Note when a key was used last."""
    connection.execute(keys.update().where(keys.c.id == key_id).values(last_used_at=now))
