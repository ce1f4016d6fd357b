"""What dated things have in common: a version is added, old ones stay."""

from collections.abc import Mapping
from datetime import date
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Conflict, NotKnown
from service.store import dated, firms
from service.usecases.base import journal
from service.usecases.base.context import Context
from service.usecases.base.json import from_json, to_json


class Version(TypedDict):
    """A version as it is to be added."""

    code: str
    in_force_from: date
    data: Mapping[str, Any]


def listed(connection: Connection, context: Context, kind: str) -> Mapping[str, Any]:
    """Every version, oldest first."""
    rows = dated.versions(connection, kind, firm_id=context.firm_id)
    return {"items": [_answer(row) for row in rows]}


def in_use(connection: Connection, context: Context, kind: str) -> Mapping[str, Any]:
    """Of every code the version in force today, by code."""
    rows = dated.all_in_force(connection, kind, firm_id=context.firm_id, on=context.now.date())
    return {"items": [_answer(row) for row in rows]}


def add(
    connection: Connection,
    context: Context,
    kind: str,
    shape: type,
    *,
    code: str,
    in_force_from: date,
    data: Mapping[str, Any],
) -> Mapping[str, Any]:
    """Add a version; `data` must have the shape that the engine reads.

    Raises Conflict where this very version is in force already on that day.
    """
    if _there(connection, context, kind, shape, code=code, in_force_from=in_force_from, data=data):
        raise Conflict(message(f"firm.{kind}_twice", code=code, day=in_force_from))
    return _added(connection, context, kind, shape, code=code, in_force_from=in_force_from, data=data)


def last(connection: Connection, context: Context, kind: str, *, code: str, on: date) -> Mapping[str, Any]:
    """The version in force on a day; raises NotKnown where there is none."""
    row = dated.in_force(connection, kind, firm_id=context.firm_id, code=code, on=on)
    if row is None:
        raise NotKnown(message("firm.no_last", code=code, day=on))
    return _answer(row)


def refuse_unchanged(
    connection: Connection, context: Context, kind: str, shape: type, *, after: UUID, version: Version
) -> None:
    """Raise Conflict where a version says nothing new, or is not made of the one that is in force now."""
    firms.by_id(connection, context.firm_id, lock=True)
    code, day = version["code"], version["in_force_from"]
    there = dated.in_force(connection, kind, firm_id=context.firm_id, code=code, on=day)
    if there is None or there["id"] != after:
        raise Conflict(message("firm.changed_meanwhile", code=code))
    wanted = to_json(from_json(shape, to_json(version["data"])))
    if _content(wanted) == _content(there["data"]):
        raise Conflict(message("firm.nothing_changed", code=code))


def _content(data: Mapping[str, Any]) -> dict[str, Any]:
    """What a version says besides its name and day."""
    return {name: value for name, value in data.items() if name not in ("code", "in_force_from")}


def put(
    connection: Connection,
    context: Context,
    kind: str,
    shape: type,
    *,
    code: str,
    in_force_from: date,
    data: Mapping[str, Any],
) -> Mapping[str, Any]:
    """As `add`, but what is put twice is there once (RFC 9110, section 9.2.2)."""
    there = _there(connection, context, kind, shape, code=code, in_force_from=in_force_from, data=data)
    return there or _added(
        connection, context, kind, shape, code=code, in_force_from=in_force_from, data=data
    )


def _there(
    connection: Connection,
    context: Context,
    kind: str,
    shape: type,
    *,
    code: str,
    in_force_from: date,
    data: Mapping[str, Any],
) -> Mapping[str, Any] | None:
    """The version in force on the day, where it is this one; the same thing sent at the same moment waits."""
    firms.by_id(connection, context.firm_id, lock=True)
    there = dated.in_force(connection, kind, firm_id=context.firm_id, code=code, on=in_force_from)
    wanted = (in_force_from, to_json(from_json(shape, to_json(data))))
    return _answer(there) if there and (there["in_force_from"], there["data"]) == wanted else None


def _added(
    connection: Connection,
    context: Context,
    kind: str,
    shape: type,
    *,
    code: str,
    in_force_from: date,
    data: Mapping[str, Any],
) -> Mapping[str, Any]:
    read: object = from_json(shape, to_json(data))
    row = {
        "firm_id": context.firm_id,
        "code": code,
        "in_force_from": in_force_from,
        "data": to_json(read),
    }
    row_id = dated.add(connection, kind, **row, now=context.now)
    journal.note(connection, context.firm_id, kind, row_id)
    return _answer({**row, "id": row_id, "created_at": context.now})


def _answer(row: Mapping[str, Any]) -> dict[str, Any]:
    return {"code": row["code"], **row["data"], **{n: row[n] for n in ("id", "in_force_from", "created_at")}}
