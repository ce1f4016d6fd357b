"""Where the content of files and photos lies: in its row, or in an object that the row names.

An object is put before the transaction that names it is committed, under a key that is given once: what
is put and never named is no loss, and is swept away (`usecases/keeping/sweeping.py`). The key begins with
the firm and the owner, so that a firm's contents, and those of an owner, lie together.
"""

import hashlib
from collections.abc import Collection, Mapping
from typing import Any, TypedDict
from uuid import UUID, uuid4

from sqlalchemy import ColumnElement, Connection, Engine, Table, and_, select

from service.engine.ground.messages import message
from service.errors import ContentUnavailable, SettingsWrong
from service.store.objects import Objects
from service.store.row_types import one
from service.store.tables import files, photos

PHOTO = "photo"


class Placed(TypedDict):
    """The columns of a content, wherever it lies."""

    sha256: str
    content: bytes | None
    object_key: str | None
    size_bytes: int


def objects_of(database: Engine | Connection) -> Objects | None:
    """The object store beside a database, if it has one."""
    found: Objects | None = database.get_execution_options().get("objects")
    return found


def owned(firm_id: UUID, owner_id: UUID) -> str:
    """What the keys of all contents of an owner begin with."""
    return f"{firm_id}/{owner_id}/"


def place(
    database: Engine | Connection, *, firm_id: UUID, owner_id: UUID, name: str, content: bytes
) -> Placed:
    """Put a content where this database keeps them; a row is still to name it.

    `name` is the kind of a file, or `photo/ID`. Raises ContentUnavailable.
    """
    placed, objects = inside(content), objects_of(database)
    if objects is None:
        return placed
    key = f"{owned(firm_id, owner_id)}{name}/{placed['sha256']}.{uuid4().hex}"
    objects.put(key, content)
    return {**placed, "content": None, "object_key": key}


def inside(content: bytes) -> Placed:
    """A content in its row."""
    sha256 = hashlib.sha256(content).hexdigest()
    return {"sha256": sha256, "content": content, "object_key": None, "size_bytes": len(content)}


def take_away(database: Engine, placed: Placed) -> None:
    """Delete an object that no row names, nor ever will."""
    objects = objects_of(database)
    if objects and placed["object_key"]:
        objects.delete(placed["object_key"])


def content_of(database: Engine | Connection, row: Mapping[str, Any]) -> bytes | None:
    """The content of a row, from wherever it lies; None where it was erased.

    Raises ContentUnavailable where it cannot be had, or is not what was stored.
    """
    key = row["object_key"]
    if key is None:
        return row["content"] and bytes(row["content"])
    content = needed(database).get(key)
    if hashlib.sha256(content).hexdigest() != row["sha256"]:
        raise ContentUnavailable(message("store.object_altered", key=key), is_lost=True)
    return content


def needed(database: Engine | Connection) -> Objects:
    """The object store beside a database; raises SettingsWrong where it has none."""
    objects = objects_of(database)
    if objects is None:
        raise SettingsWrong(
            "Contents lie in an object store, and BAYWRIGHT_OBJECTS_URL does not say where that is."
        )
    return objects


def is_named(connection: Connection, key: str) -> bool:
    """Whether a row names an object; a key that is not of ours counts as named, and is left alone."""
    named = _named(connection, key)
    return named is None or named == [key]


def was_let_go(connection: Connection, key: str) -> bool:
    """Whether the row that an object was put for is there, and names it no more: it was erased, or moved."""
    return _named(connection, key) not in (None, [], [key])


def _named(connection: Connection, key: str) -> list[str | None] | None:
    """What the row of an object names: nothing where none is; None for a key not of ours."""
    try:
        _, owner, *name, _ = key.split("/")
        table, mine = _row_at(UUID(owner), "/".join(name))
    except ValueError:
        return None
    return list(connection.execute(select(table.c.object_key).where(mine)).scalars())


def _row_at(owner_id: UUID, name: str) -> tuple[Table, ColumnElement[bool]]:
    """The row of a content: its table and which it is there; raises ValueError where none can be."""
    kind, _, photo_id = name.partition("/")
    if kind == PHOTO:
        return photos, and_(photos.c.job_id == owner_id, photos.c.id == UUID(photo_id))
    return files, and_(files.c.kind == kind, files.c.owner_id == owner_id)


def names_of(connection: Connection, owners: Collection[UUID], *, outside: bool) -> list[tuple[UUID, str]]:
    """Owner and name of each content of these owners that lies outside, or of each that does not."""
    lies = "object_key" if outside else "content"
    of_files = select(files.c.owner_id, files.c.kind).where(files.c.owner_id.in_(owners))
    of_photos = select(photos.c.job_id, photos.c.id).where(photos.c.job_id.in_(owners))
    found = [(row[0], row[1]) for row in connection.execute(of_files.where(files.c[lies].is_not(None)))]
    taken = connection.execute(of_photos.where(photos.c[lies].is_not(None)))
    return found + [(row[0], f"{PHOTO}/{row[1]}") for row in taken]


def row_of(connection: Connection, owner_id: UUID, name: str) -> Placed | None:
    """The columns of a content."""
    table, mine = _row_at(owner_id, name)
    columns = [table.c[column] for column in ("sha256", "content", "object_key", "size_bytes")]
    return one(Placed, connection.execute(select(*columns).where(mine)))


def move(connection: Connection, owner_id: UUID, name: str, *, was: Placed, placed: Placed) -> bool:
    """Let a content lie elsewhere; False where it does not lie any more where it was."""
    table, mine = _row_at(owner_id, name)
    key = was["object_key"]
    there = table.c.content.is_not(None) if key is None else table.c.object_key == key
    elsewhere = {"content": placed["content"], "object_key": placed["object_key"]}
    return connection.execute(table.update().where(mine, there).values(elsewhere)).rowcount == 1


def lie_outside(connection: Connection, owners: Collection[UUID]) -> bool:
    """Whether any of these owners has a file, or any of these jobs a photo, that lies in an object."""
    of_files = select(files.c.sha256).where(files.c.owner_id.in_(owners), files.c.object_key.is_not(None))
    of_photos = select(photos.c.sha256).where(photos.c.job_id.in_(owners), photos.c.object_key.is_not(None))
    return any(connection.execute(each.limit(1)).first() for each in (of_files, of_photos))
