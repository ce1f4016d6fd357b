"""Dated rows: materials, build-ups, prices, lances, practice. Versions are added; old ones stay."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Select, Table, bindparam, select
from uuid6 import uuid7

from service.store import tables
from service.store.prepared import Prepared
from service.store.row_types import Version

TABLES: Mapping[str, Table] = {
    "materials": tables.materials,
    "build_ups": tables.build_ups,
    "price_lists": tables.price_lists,
    "lances": tables.lances,
    "practices": tables.practices,
}


def add(
    connection: Connection,
    kind: str,
    *,
    firm_id: UUID,
    code: str,
    in_force_from: date,
    data: Mapping[str, Any],
    now: datetime,
) -> UUID:
    """Add a version; returns its id."""
    row_id = uuid7()
    connection.execute(
        TABLES[kind]
        .insert()
        .values(
            id=row_id,
            firm_id=firm_id,
            code=code,
            in_force_from=in_force_from,
            data=dict(data),
            created_at=now,
        )
    )
    return row_id


def _every(table: Table) -> Select[Any]:
    mine = select(table).where(table.c.firm_id == bindparam("firm"))
    return mine.order_by(table.c.code, table.c.in_force_from, table.c.id)


def _latest(table: Table) -> Select[Any]:
    called = table.c.firm_id == bindparam("firm"), table.c.code == bindparam("called")
    begun = select(table).where(*called, table.c.in_force_from <= bindparam("day"))
    return begun.order_by(table.c.in_force_from.desc(), table.c.id.desc()).limit(1)


_IN_FORCE = {kind: Prepared(_latest(table)) for kind, table in TABLES.items()}
_VERSIONS = {kind: Prepared(_every(table)) for kind, table in TABLES.items()}


def in_force(connection: Connection, kind: str, *, firm_id: UUID, code: str, on: date) -> Version | None:
    """The version of `code` in force on a day: the latest begun; of two on one day, the newer."""
    return _IN_FORCE[kind].one(connection, Version, firm=firm_id, called=code, day=on)


def all_in_force(connection: Connection, kind: str, *, firm_id: UUID, on: date) -> list[Version]:
    """For every code the version in force on a day, by code."""
    latest: dict[str, Version] = {}
    for row in versions(connection, kind, firm_id=firm_id):
        if row["in_force_from"] <= on:
            latest[row["code"]] = row
    return [latest[code] for code in sorted(latest)]


def versions(connection: Connection, kind: str, *, firm_id: UUID) -> list[Version]:
    """Every version of everything, oldest first."""
    return _VERSIONS[kind].every(connection, Version, firm=firm_id)
