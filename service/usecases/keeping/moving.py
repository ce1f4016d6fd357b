"""Contents are moved out of the database into the object store, or back, while the service works.

One after the other, each in a transaction of its own. Killed at any moment it has lost nothing, and goes on
when it is called again: what was put and is not named yet is swept away.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from uuid import UUID

from sqlalchemy import Engine

from service.engine.ground.messages import Message, message
from service.errors import ContentUnavailable
from service.store import contents, quotes
from service.store.contents import Placed, content_of
from service.store.session import reading, writing
from service.usecases.work.erasures import owners_of


@dataclass(slots=True, kw_only=True)
class Moved:
    """How many contents were moved, their bytes, and what was left where it is because it is not whole."""

    count: int = 0
    size_bytes: int = 0
    faults: list[Message] = field(default_factory=list)


def move(database: Engine, *, back: bool = False) -> Moved:
    """Move everything into the object store, or `back`; raises SettingsWrong where there is none."""
    contents.needed(database)
    moved = Moved()
    for firm_id, owner_id, name in _all(database, outside=back):
        try:
            size = _moved(database, firm_id, owner_id, name, back=back)
        except ContentUnavailable as error:
            if not error.is_lost or not isinstance(error.detail, Message):
                raise
            moved.faults.append(error.detail)
        else:
            moved.count, moved.size_bytes = moved.count + (size > 0), moved.size_bytes + size
    return moved


def _all(database: Engine, *, outside: bool) -> Iterator[tuple[UUID, UUID, str]]:
    """Firm, owner and name of each content that lies there, quote by quote, in no transaction."""
    with reading(database) as connection:
        all_quotes = list(quotes.every(connection))
    for quote_id, firm_id in all_quotes:
        with reading(database) as connection:
            found = contents.names_of(connection, owners_of(connection, UUID(quote_id)), outside=outside)
        yield from ((UUID(firm_id), owner_id, name) for owner_id, name in found)


def _moved(database: Engine, firm_id: UUID, owner_id: UUID, name: str, *, back: bool) -> int:
    """Move one content; returns its size, or 0 where somebody moved or erased it meanwhile."""
    with reading(database) as connection:
        was = contents.row_of(connection, owner_id, name)
    content = was and content_of(database, was)
    if was is None or content is None:
        return 0
    if back:
        placed = contents.inside(content)
    else:
        placed = contents.place(database, firm_id=firm_id, owner_id=owner_id, name=name, content=content)
    return was["size_bytes"] if _settled(database, owner_id, name, was, placed) else 0


def _settled(database: Engine, owner_id: UUID, name: str, was: Placed, placed: Placed) -> bool:
    """Let the row say where its content lies now, and take away what nobody names any more."""
    if placed["sha256"] != was["sha256"]:
        contents.take_away(database, placed)
        raise ContentUnavailable(message("keeping.not_moved", owner=str(owner_id), name=name), is_lost=True)
    with writing(database) as connection:
        is_moved = contents.move(connection, owner_id, name, was=was, placed=placed)
    contents.take_away(database, was if is_moved else placed)
    return is_moved
