"""Keys as the firm's own office has them: made, listed, rotated and ended, without the operator."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated, Any

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Conflict, NotKnown
from service.store import keys
from service.store.row_types import KeyHead, some
from service.usecases.base.context import Context, reads, writes, writes_link
from service.usecases.firm.keys import end, first_of, in_force, made


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownKey:
    """A key, as far as it may be shown."""

    prefix: Annotated[str, "what it is named by: the first part of the key itself"]
    label: Annotated[str, "whose it is"]
    roles: Annotated[tuple[str, ...], "what it opens"]
    created_at: Annotated[datetime, "when it was made"]
    last_used_at: Annotated[datetime | None, "when it was used last, to the minute; null: never"]
    revoked_at: Annotated[datetime | None, "when it ends or ended; null: it is in force"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewKey(ShownKey):
    """A key that was just made."""

    key: Annotated[str, "the key, shown this once"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShownKeys:
    """The firm's keys."""

    items: Annotated[tuple[ShownKey, ...], "the firm's keys, oldest first, without those of crews"]


@reads
def listed(connection: Connection, context: Context) -> ShownKeys:
    """The firm's keys, in force or ended."""
    return ShownKeys(items=tuple(ShownKey(**_head(row)) for row in keys.of_firm(connection, context.firm_id)))


@writes_link
def create(connection: Connection, context: Context, label: str, roles: list[str]) -> NewKey:
    """Make a key, which is shown this once."""
    return _new(connection, context, {"label": label, "roles": sorted(set(roles)), "first_id": None})


@writes_link
def rotate(connection: Connection, context: Context, prefix: str, grace_hours: int) -> NewKey:
    """Make a key in the place of another, which ends when the grace has passed."""
    old = _found(connection, context, prefix)
    ends = context.now + timedelta(hours=grace_hours)
    end(connection, prefix, at=ends, now=context.now, gives_way=True)
    values = {"label": old["label"], "roles": old["roles"], "first_id": first_of(old)}
    return _new(connection, context, values)


@writes
def revoke(connection: Connection, context: Context, prefix: str) -> None:
    """End a key at once; never the one that asks for it, so that no office locks itself out."""
    key = _found(connection, context, prefix)
    if context.caller and key["id"] == context.caller.key_id:
        raise Conflict(message("firm.own_key"))
    end(connection, prefix, at=context.now, now=context.now)


def _found(connection: Connection, context: Context, prefix: str) -> KeyHead:
    """The firm's key with this prefix that is in force; raises NotKnown where there is none."""
    for row in keys.of_firm(connection, context.firm_id):
        if row["prefix"] == prefix and in_force(row, context.now):
            return row
    raise NotKnown(message("firm.no_key_with_prefix", prefix=prefix))


def _new(connection: Connection, context: Context, values: dict[str, Any]) -> NewKey:
    key = made(connection, firm_id=context.firm_id, now=context.now, **values)
    return NewKey(**_head(_found(connection, context, key.split("_")[1])), key=key)


def _head(row: KeyHead) -> dict[str, Any]:
    names = ("prefix", "label", "created_at", "last_used_at", "revoked_at")
    return {**some(row, names), "roles": tuple(row["roles"])}
