"""Whether the content of a file or photo is what was stored, or erased with its client, wherever it lies."""

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import Sealed
from service.errors import ContentUnavailable
from service.store.contents import content_of, was_let_go
from service.store.row_types import File, Photo
from service.store.session import reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """Which objects are read: of so many parts, about as large, the one with this number, from 1 on."""

    part: int = 1
    parts: int = 1

    def has(self, sha256: str) -> bool:
        """Whether an object is in it, by the digest of its content: it stays in the same part."""
        return self.parts == 1 or int(sha256[:8], 16) % self.parts == self.part - 1


ALL = Share()


@dataclass(slots=True, kw_only=True)
class Contents:
    """How many contents were looked at, how many of them lie in objects, and how many of those were read."""

    share: Share = ALL
    files: int = 0
    objects: int = 0
    objects_read: int = 0

    def is_read(self, row: File | Photo) -> bool:
        """Count an object, and say whether it is to be read now."""
        read = self.share.has(row["sha256"])
        self.objects += 1
        self.objects_read += read
        return read


def content_faults(
    connection: Connection,
    row: File | Photo,
    named: tuple[Sealed | str, str],
    client_erased_at: datetime | None,
    contents: Contents,
) -> Iterator[Message]:
    """What is wrong with a content; `named` are the kind and the subject of what it is of."""
    contents.files += 1
    thing, subject = named
    said: Mapping[str, Any] = {"thing": thing, "subject": subject}
    if row["content"] is None and row["object_key"] is None:
        if row["erased_at"] != client_erased_at:
            yield message("keeping.erased_by_itself", **said)
    elif client_erased_at:
        yield message("keeping.not_erased", **said)
    elif row["object_key"] is not None:
        if contents.is_read(row):
            yield from _object_faults(connection, row, row["object_key"])
    elif row["content"] is not None and not _is_content(bytes(row["content"]), row):
        yield message("keeping.content_altered", **said)


def _is_content(content: bytes, row: File | Photo) -> bool:
    return (len(content), hashlib.sha256(content).hexdigest()) == (row["size_bytes"], row["sha256"])


def _object_faults(connection: Connection, row: File | Photo, key: str) -> Iterator[Message]:
    """What is wrong with an object, unless its row let go of it since this transaction began."""
    try:
        content = content_of(connection, row)
    except ContentUnavailable as error:
        if not error.is_lost:
            raise
        with reading(connection.engine) as now:
            if not was_let_go(now, key) and isinstance(error.detail, Message):
                yield error.detail
        return
    if content is None or not _is_content(content, row):
        yield message("store.object_altered", key=key)
