"""Keys: made, listed, rotated, revoked, and recognised when they are used."""

import hashlib
import hmac
import re
import secrets
from contextlib import ExitStack, suppress
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import OperationalError

from service.engine.ground.messages import message
from service.errors import Conflict, Fault, InvalidInput, NotIdentified, NotKnown, Unavailable
from service.store import firms, keys
from service.store.retry import retried
from service.store.row_types import Key, KeyHead, KeyOfFirm
from service.store.session import Begun, reading, reveal, writing
from service.usecases.base import journal
from service.usecases.base.context import Caller

ROLES = ("sales", "installer", "signatory", "office")
SHAPE = re.compile(r"bw_([0-9a-f]{8})_[A-Za-z0-9_-]{43}")
# Reads stay reads: the time of the last use is written no more often than this.
NOTED_EVERY = timedelta(minutes=1)


def digest(key: str) -> str:
    """What is kept of a key. It has 256 bits of chance, so a plain hash cannot be searched backwards."""
    return hashlib.sha256(key.encode()).hexdigest()


def add(database: Engine, *, firm_code: str, roles: list[str], label: str, now: datetime) -> str:
    """Make a key for a firm; the key itself is returned here and never again."""
    unknown = [role for role in roles if role not in ROLES]
    if unknown or not roles:
        raise InvalidInput(Fault("/roles", message("firm.roles", roles=tuple(ROLES))))
    with writing(database) as connection:
        firm = firms.by_code(connection, firm_code)
        if firm is None:
            raise NotKnown(message("firm.not_known", code=firm_code))
        return made(connection, firm_id=firm["id"], roles=sorted(set(roles)), label=label, now=now)


def made(connection: Connection, *, firm_id: UUID, **values: Any) -> str:
    """Make a key of a firm with these values, which is returned here and never again."""
    prefix = secrets.token_hex(4)
    key = f"bw_{prefix}_{secrets.token_urlsafe(32)}"
    key_id = keys.add(connection, firm_id=firm_id, prefix=prefix, digest=digest(key), **values)
    journal.note(connection, firm_id, "key", key_id)
    return key


def end(connection: Connection, prefix: str, *, at: datetime, now: datetime, gives_way: bool = False) -> None:
    """Let the key with this prefix end; raises NotKnown when none is in force, or any more.

    One that `gives_way` has another come in its place, which it does once: then raises Conflict.
    """
    key = _held(connection, prefix)
    if key and gives_way and key["revoked_at"] and key["revoked_at"] > now:
        raise Conflict(message("firm.key_gave_way", prefix=prefix))
    if key is None or not keys.end(connection, prefix, at=at, now=now):
        raise NotKnown(message("firm.no_key_with_prefix", prefix=prefix))
    journal.note(connection, key["firm_id"], "key", key["id"])


def _held(connection: Connection, prefix: str) -> Key | None:
    """The key as it is when nobody else can change the firm's any more."""
    key = keys.by_prefix(connection, prefix)
    if key is None:
        return None
    journal.hold(connection, key["firm_id"])
    return keys.by_prefix(connection, prefix)


def identify(database: Engine, key: str, now: datetime) -> Caller:
    """Who holds this key; raises NotIdentified when it is not in force."""
    caller, begun = identified(database, key, now)
    begun.end()
    return caller


def identified(database: Engine, key: str, now: datetime) -> tuple[Caller, Begun]:
    """Who holds this key, and the transaction that found it, which sees the firm's rows and has to be ended.

    Raises NotIdentified when it is not in force.
    """
    shape = SHAPE.fullmatch(key)
    if shape is None:
        raise NotIdentified(message("firm.not_a_key"))
    row, begun = retried(lambda: _by_prefix(database, shape[1]), repeatable=True)
    if row is None or not hmac.compare_digest(row["digest"], digest(key)) or not in_force(row, now):
        begun.end()
        raise NotIdentified(message("firm.key_not_in_force"))
    if row["last_used_at"] is None or now - row["last_used_at"] >= NOTED_EVERY:
        begun.end()
        _note_use(database, row, now)
    return _caller(row), begun


def _caller(row: Key) -> Caller:
    return Caller(
        key_id=row["id"],
        first_key_id=first_of(row),
        firm_id=row["firm_id"],
        roles=frozenset(row["roles"]),
        label=row["label"],
        crew_id=row["crew_id"],
    )


def first_of(key: KeyHead) -> UUID:
    """The first of the keys that came in one another's place."""
    return key["first_id"] or key["id"]


def _by_prefix(database: Engine, prefix: str) -> tuple[Key | None, Begun]:
    with ExitStack() as undone:
        begun = Begun(database)
        undone.push(begun)
        reveal(begun.connection, key=prefix)
        row = keys.by_prefix(begun.connection, prefix)
        if row is not None:
            reveal(begun.connection, firm=row["firm_id"])
        undone.pop_all()
        return row, begun


def in_force(key: KeyHead, now: datetime) -> bool:
    """Whether a key opens anything."""
    return key["revoked_at"] is None or key["revoked_at"] > now


def _note_use(database: Engine, key: Key, now: datetime) -> None:
    # While another writer is at work nobody waits for this: the next request notes it.
    failures = (Unavailable, OperationalError)
    with suppress(*failures), writing(database, firm_id=key["firm_id"], waits=False) as connection:
        keys.note_use(connection, key["id"], now)


def every(database: Engine) -> list[KeyOfFirm]:
    """All keys, without what would let anybody use them."""
    with reading(database) as connection:
        return keys.every(connection)


def rotate(database: Engine, *, prefix: str, grace: timedelta, now: datetime) -> str:
    """Make a key in the place of another, which ends when the grace has passed; returns the new key."""
    with writing(database) as connection:
        old = keys.by_prefix(connection, prefix)
        end(connection, prefix, at=now + grace, now=now, gives_way=True)
        assert old is not None
        return made(
            connection,
            firm_id=old["firm_id"],
            roles=old["roles"],
            label=old["label"],
            crew_id=old["crew_id"],
            first_id=first_of(old),
            now=now,
        )


def revoke(database: Engine, *, prefix: str, now: datetime) -> None:
    """Revoke the key with this prefix; raises NotKnown when none is in force."""
    with writing(database) as connection:
        end(connection, prefix, at=now, now=now)
