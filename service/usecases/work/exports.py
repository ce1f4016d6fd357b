"""What a firm takes away as tables: its quotes, parts, entries and certificates of some days."""

import json
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Fault, InvalidInput
from service.store import exports, supplements
from service.usecases.base.context import Context, loads
from service.usecases.work import agreed
from service.usecases.work.agreed import Agreements, Standing
from service.usecases.work.clients import ERASED
from service.usecases.work.short import one_by_one

MOST_ROWS = 10_000
Row = dict[str, Any]


def _with_supplements(connection: Connection, **wanted: Any) -> exports.Rows:
    """The cavities of jobs as they were quoted, each job's followed by those that its supplements brought."""
    quoted = exports.parts_between(connection, **wanted)
    by_quote: dict[UUID, exports.Rows] = {}
    for row in quoted:
        by_quote.setdefault(row["quote_id"], []).append(row)
    supplemented = supplements.quotes_with(connection, list(by_quote))
    return [
        row
        for quote_id, rows in by_quote.items()
        for row in (_with_added(connection, quote_id, rows) if quote_id in supplemented else rows)
    ]


def _with_added(connection: Connection, quote_id: UUID, rows: exports.Rows) -> exports.Rows:
    agreements = agreed.of_quote(connection, quote_id)
    head = {name: rows[0][name] for name in ("job", "quote", "quote_id")}
    job_id = agreements.supplements[0].row["job_id"]
    serial = {each.id: each.row["serial"] for each in agreements.supplements}
    added = sorted(supplements.lines_of(connection, [job_id]), key=lambda row: serial[row["supplement_id"]])
    brought = [{**head, **row, "own": agreements.by_id[row["supplement_id"]]} for row in added]
    return [{**row, "agreements": agreements} for row in (*rows, *brought)]


FIND: Mapping[str, Callable[..., exports.Rows]] = {
    "quotes": exports.quotes_between,
    "parts": _with_supplements,
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
        for line in one_by_one(row):
            said = {name: value for name, value in line["line"].items() if name not in ("count", "cautions")}
            standing = _standing(row, said["label"])
            if standing.planned:
                by = {"supplement": standing.supplement, "agreed": standing.agreed}
                yield {"job": row["job"], "quote": row["quote"], **said, **by}


def _standing(row: Row, label: str) -> Standing:
    """How a part stands: as it was quoted, unless supplements say otherwise."""
    agreements: Agreements | None = row.get("agreements")
    return agreements.standing(label, row.get("own")) if agreements else Standing()


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
