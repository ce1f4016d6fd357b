"""The lots of a firm's material, kept as they are added up: what a job says more of changes them with it.

It repeats what stands in the entries, so that a stock is read and not summed over every job there ever was;
`baywright check` holds it against them.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from operator import itemgetter
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.site.firm_stock import StockLine, said_of_lots, stock_line
from service.engine.site.ledger import Ledger
from service.store import stock
from service.store.row_types import Entry, StockLot, some
from service.store.stock import Lot
from service.usecases.work.ledger import ledger_of, standing

MILLION = 1_000_000
NOTHING: Mapping[str, int] = dict.fromkeys(stock.FIGURES, 0)

Rows = Iterable[Mapping[str, Any]]
Sums = dict[Lot, dict[str, int]]


def keep_up(connection: Connection, job: Mapping[str, Any], new: Sequence[Mapping[str, Any]]) -> None:
    """Let the stock say what a job does since these entries were added to it, which is locked."""
    if not any(map(stock.is_of, new)):
        return
    ids = {row["id"] for row in new}
    said = stock.said(connection, [job["id"]])
    material = stock.material(connection, job["id"])
    changes: Sums = {}
    _add(changes, _said(material, [row for row in said if row["id"] not in ids]), -1)
    _add(changes, _said(material, said), 1)
    stock.add(connection, job["firm_id"], {of: row for of, row in changes.items() if any(row.values())})


def summed(connection: Connection, firm_id: UUID) -> Sums:
    """What the entries of all of a firm's jobs say, added up anew."""
    sums: Sums = {}
    said = stock.said_by_all(connection, firm_id)
    for (_, material), rows in groupby(said, lambda each: (each[1]["job_id"], each[0])):
        _add(sums, _said(material, (row for _, row in rows)), 1)
    return {of: row for of, row in sums.items() if any(row.values())}


def kept(connection: Connection, firm_id: UUID) -> Sums:
    """What is kept of a firm's lots, those alone of which there was anything."""
    sums = {(row["material"], row["lot"]): _figures(row) for row in stock.lots(connection, firm_id)}
    return {of: figures for of, figures in sums.items() if any(figures.values())}


def left(sums: Sums) -> dict[str, int]:
    """What these lots leave of each material for others to take, in millionths of a bag."""
    materials: dict[str, int] = {}
    for (material, _), row in sums.items():
        materials[material] = materials.get(material, 0) + row["left_over_bags"] - row["taken_bags"]
    return {of: bags for of, bags in materials.items() if bags}


def kept_there(connection: Connection, firm_id: UUID) -> dict[str, int]:
    """The same as it is kept."""
    return {of: bags for of, bags in stock.there(connection, firm_id).items() if bags}


def there(connection: Connection, firm_id: UUID) -> dict[str, float]:
    """Bags of each material that jobs left over, less what others took over of them."""
    return {of: bags / MILLION for of, bags in stock.there(connection, firm_id).items()}


def line(row: StockLot) -> StockLine:
    """A lot as it is answered."""
    figures = {name: value / MILLION for name, value in _figures(row).items()}
    return stock_line(material=row["material"], lot=row["lot"], figures=figures)


def ledgers(rows: Iterable[Entry]) -> dict[UUID, Ledger]:
    """What these entries say, by their jobs."""
    return {job_id: ledger_of(standing(each)) for job_id, each in groupby(rows, itemgetter("job_id"))}


def _figures(row: Mapping[str, Any]) -> dict[str, int]:
    return some(row, stock.FIGURES)


def _said(material: str, rows: Rows) -> Sums:
    """What a job says of each lot, in whole millionths: what is taken away again leaves nothing."""
    said = said_of_lots(material=material, ledger=ledger_of(standing(rows)))
    return {of: {name: round(value * MILLION) for name, value in row.items()} for of, row in said.items()}


def _add(sums: Sums, said: Sums, sign: int) -> None:
    for of, figures in said.items():
        row = sums.setdefault(of, dict(NOTHING))
        for name, value in figures.items():
            row[name] += sign * value
