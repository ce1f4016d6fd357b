"""Issued files: stored once, served as they are."""

import hashlib
from datetime import datetime
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.tables import files


def attach(connection: Connection, *, kind: str, owner_id: UUID, content: bytes, now: datetime) -> None:
    """Attach a file to its owner, unless one is attached: the first stays."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    connection.execute(
        dialect.insert(files)
        .values(
            kind=kind,
            owner_id=owner_id,
            sha256=hashlib.sha256(content).hexdigest(),
            content=content,
            created_at=now,
        )
        .on_conflict_do_nothing()
    )


def of(connection: Connection, *, kind: str, owner_id: UUID) -> RowMapping | None:
    """The file of an owner."""
    found = connection.execute(select(files).where(files.c.kind == kind, files.c.owner_id == owner_id))
    return found.mappings().one_or_none()


def digest_of(connection: Connection, *, kind: str, owner_id: UUID) -> str | None:
    """The SHA-256 of an owner's file, without its content."""
    return connection.execute(
        select(files.c.sha256).where(files.c.kind == kind, files.c.owner_id == owner_id)
    ).scalar_one_or_none()


def every(connection: Connection) -> list[RowMapping]:
    """All files."""
    return list(connection.execute(select(files).order_by(files.c.kind, files.c.owner_id)).mappings())
