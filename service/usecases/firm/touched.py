"""Drafts that come out otherwise by a version that is dated before their day: each stays as it is."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from sqlalchemy import Connection

from service.engine.ground.rfc3339 import read_day
from service.store import quotes
from service.usecases.base.context import Context

Touched = Mapping[str, Any]


def drafts(connection: Connection, context: Context, name: str, code: str, day: date) -> list[Touched]:
    """Drafts whose member `name` is this code, of this day or later."""
    found = quotes.drafts(connection, context.firm_id)
    touched = {row["id"]: row for row in found if row[name] == code and _day(row) >= day}
    return [_touched(row) for row in touched.values()]


def _touched(row: Mapping[str, Any]) -> Touched:
    return {"id": row["id"], "reference": row["reference"], "priced_on": _day(row)}


def _day(row: Mapping[str, Any]) -> date:
    return read_day(row["priced_on"])
