"""What a firm takes away as tables: its quotes, parts, entries and certificates of some days."""

import json
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Fault, InvalidInput
from service.store import exports
from service.usecases.base.context import Context, loads
from service.usecases.work.clients import ERASED
from service.usecases.work.short import one_by_one

MOST_ROWS = 10_000
Row = dict[str, Any]

FIND: Mapping[str, Callable[..., exports.Rows]] = {
    "quotes": exports.quotes_between,
    "parts": exports.parts_between,
    "entries": exports.entries_between,
    "certificates": exports.certificates_between,
}
KINDS = tuple(FIND)


@loads
def rows(connection: Connection, context: Context, kind: str, since: date, until: date) -> list[Row]:
    """The rows of a table, for both days and those between; raises InvalidInput where they are too many."""
    if until < since:
        raise InvalidInput(Fault("/until", message("exports.ends_before", since=since)))
    days = (_midnight(since), _midnight(until + timedelta(days=1)))
    found = FIND[kind](connection, firm_id=context.firm_id, days=days, limit=MOST_ROWS + 1)
    shown = list(SHOW[kind](found))
    if len(shown) > MOST_ROWS:
        raise InvalidInput(Fault("/until", message("exports.too_many", most=MOST_ROWS)))
    return shown


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


def _quotes(found: exports.Rows) -> Iterator[Row]:
    for row in found:
        client, summary = row.pop("client"), row.pop("summary")
        yield {
            "number": row.pop("number"),
            "reference": row.pop("reference"),
            "client": client["name"] if client else ERASED,
            "site": client["address"] if client else ERASED,
            "state": row.pop("state"),
            "mass_kg": summary["mass_kg"],
            "bags": summary["bags"],
            "crew_hours": summary["crew_hours"],
            **row,
        }


def _parts(found: exports.Rows) -> Iterator[Row]:
    for row in found:
        for line in one_by_one(row):  # type: ignore[arg-type]
            said = {name: value for name, value in line["line"].items() if name not in ("count", "cautions")}
            yield {"job": row["job"], "quote": row["quote"], **said}


def _entries(found: exports.Rows) -> Iterator[Row]:
    for row in found:
        data = row.pop("data")
        ids = {name: str(row[name]) for name in ("id", "corrects") if row[name]}
        yield {**row, **ids, **{name: _flat(value) for name, value in data.items() if name not in row}}


def _flat(value: Any) -> Any:
    """What fits a cell as it is; what lies deeper as JSON text."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, list | dict) else value


SHOW: Mapping[str, Callable[[exports.Rows], Iterator[Row]]] = {
    "quotes": _quotes,
    "parts": _parts,
    "entries": _entries,
    "certificates": iter,
}
