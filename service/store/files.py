"""Issued files: stored once, served as they are."""

from collections.abc import Collection, Iterator
from datetime import datetime
from uuid import UUID

from sqlalchemy import Connection, bindparam, case, null, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.contents import Placed
from service.store.prepared import Prepared
from service.store.row_types import File, FileHead, every, one, stream
from service.store.tables import clients, files, quotes

# Made once: making a statement takes longer than running it.
_READABLE = Prepared(
    select(
        *(column for column in files.c if column is not files.c.content),
        case((files.c.sha256 == bindparam("has"), null()), else_=files.c.content).label("content"),
    )
    .select_from(files)
    .join(quotes, quotes.c.id == bindparam("client_of"))
    .join(clients, clients.c.quote_id == quotes.c.id)
    .where(
        files.c.kind == bindparam("of_kind"),
        files.c.owner_id == bindparam("owner"),
        quotes.c.firm_id == bindparam("firm"),
        clients.c.erased_at.is_(None),
    )
)


def attach(connection: Connection, *, kind: str, owner_id: UUID, placed: Placed, now: datetime) -> bool:
    """Attach a file to its owner, unless one is attached: the first stays, and the answer is False."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    attached = connection.execute(
        dialect.insert(files)
        .values(kind=kind, owner_id=owner_id, created_at=now, **placed)
        .on_conflict_do_nothing()
        .returning(files.c.sha256)
    )
    return attached.first() is not None


def erase(connection: Connection, owners: Collection[UUID], now: datetime) -> None:
    """Erase the content of all files of these owners; their digests stay."""
    connection.execute(
        files.update()
        .where(files.c.owner_id.in_(owners), files.c.erased_at.is_(None))
        .values(content=None, object_key=None, erased_at=now)
    )


def of(connection: Connection, *, kind: str, owner_id: UUID) -> File | None:
    """The file of an owner."""
    found = connection.execute(select(files).where(files.c.kind == kind, files.c.owner_id == owner_id))
    return one(File, found)


def readable(
    connection: Connection, *, kind: str, owner_id: UUID, firm_id: UUID, client_of: UUID, has: str | None
) -> File | None:
    """A firm's file that names the client of the quote `client_of`, unless that client was erased.

    The content of one whose digest somebody `has` already is not read for him.
    """
    asked = {"of_kind": kind, "owner": owner_id, "firm": firm_id, "client_of": client_of, "has": has or ""}
    return _READABLE.one(connection, File, **asked)


def digest_of(connection: Connection, *, kind: str, owner_id: UUID) -> str | None:
    """The digest of an owner's file, which is not read for it."""
    mine = (files.c.kind == kind, files.c.owner_id == owner_id)
    return connection.execute(select(files.c.sha256).where(*mine)).scalar_one_or_none()


def heads_of(connection: Connection, owners: Collection[UUID]) -> list[FileHead]:
    """The files of these owners without their content, in the order of `of_owners`."""
    kept = [column for column in files.c if column is not files.c.content]
    statement = select(*kept).where(files.c.owner_id.in_(owners)).order_by(files.c.kind, files.c.owner_id)
    return every(FileHead, connection.execute(statement))


def of_owners(connection: Connection, owners: Collection[UUID]) -> Iterator[File]:
    """The files of these owners, one after the other: there may be more than memory holds."""
    statement = select(files).where(files.c.owner_id.in_(owners)).order_by(files.c.kind, files.c.owner_id)
    yield from stream(File, connection.execute(statement.execution_options(yield_per=1)))
