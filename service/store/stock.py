"""What jobs say of material, added up by lot; and what they were planned to take."""

from collections.abc import Collection, Iterator, Mapping
from typing import Any, cast
from uuid import UUID

from sqlalchemy import Connection, Select, bindparam, select
from sqlalchemy.dialects import postgresql, sqlite
from uuid6 import uuid7

from service.store.quote_options import AGREED, with_agreed
from service.store.row_types import Entry, StockLot, every, stream
from service.store.tables import entries, jobs, quotes, stock_lots, stock_materials

# A correction names what it corrects, which may be a correction itself: all of them are read.
KINDS = ("delivery", "reclaimed", "correction")
FIGURES = tuple(column.name for column in stock_lots.c if column.name.endswith(("_bags", "_kg")))
"""The columns of a lot that are added up, in millionths."""

Lot = tuple[str, str]
"""Code of the material, and the lot: empty where none was named."""


def is_of(row: Mapping[str, Any]) -> bool:
    """Whether an entry says anything of a firm's material; of fills those alone that blow spill again."""
    return row["kind"] in KINDS or (row["kind"] == "fill" and bool(row["data"].get("from_spill")))


def _said() -> Select[Any]:
    again = entries.c.data["from_spill"].as_boolean()
    mine = entries.c.kind.in_((*KINDS, "fill")) & ((entries.c.kind != "fill") | again)
    return select(entries).where(mine).order_by(entries.c.job_id, entries.c.position)


def said(connection: Connection, job_ids: Collection[UUID]) -> list[Entry]:
    """The entries of these jobs of material that came, went, was swept or blown again, with corrections."""
    return every(Entry, connection.execute(_said().where(entries.c.job_id.in_(job_ids))))


def said_by_all(connection: Connection, firm_id: UUID) -> Iterator[tuple[str, Entry]]:
    """The same of all of a firm's jobs, job by job, each with the code of the job's material."""
    statement = _said().add_columns(AGREED["body"]["material"].as_string().label("material"))
    of_jobs = statement.join(jobs, jobs.c.id == entries.c.job_id).join(quotes, quotes.c.id == jobs.c.quote_id)
    mine = with_agreed(of_jobs).where(entries.c.firm_id == firm_id).execution_options(yield_per=1000)
    for row in connection.execute(mine).mappings():
        yield row["material"], cast(Entry, row)


def add(connection: Connection, firm_id: UUID, changes: Mapping[Lot, Mapping[str, int]]) -> None:
    """Add these FIGURES to a firm's lots, which stay locked until the transaction ends, in one order."""
    lots, there = [], dict[str, int]()
    for (material, lot), figures in sorted(changes.items()):
        lots.append({"id": uuid7(), "firm_id": firm_id, "material": material, "lot": lot, **figures})
        left = figures["left_over_bags"] - figures["taken_bags"]
        there[material] = there.get(material, 0) + left
    if lots:
        of_lots, of_materials = _ADDING[connection.dialect.name]
        rows = [{"firm_id": firm_id, "material": of, "there_bags": bags} for of, bags in there.items()]
        connection.execute(of_lots, lots)
        connection.execute(of_materials, rows)


def _adding(dialect: Any) -> tuple[Any, Any]:
    """What adds rows of lots, and of materials, to those that are there."""
    of_lots, of_materials = dialect.insert(stock_lots), dialect.insert(stock_materials)
    added = {name: stock_lots.c[name] + of_lots.excluded[name] for name in FIGURES}
    total = {"there_bags": stock_materials.c.there_bags + of_materials.excluded.there_bags}
    return (
        of_lots.on_conflict_do_update(index_elements=["firm_id", "lot", "material"], set_=added),
        of_materials.on_conflict_do_update(index_elements=["firm_id", "material"], set_=total),
    )


# Made once: making a statement takes longer than running it.
_ADDING = {"sqlite": _adding(sqlite), "postgresql": _adding(postgresql)}


def page(
    connection: Connection, *, firm_id: UUID, lot: str | None, limit: int, before: UUID | None
) -> list[StockLot]:
    """Up to `limit` lots, newest first, older than `before`; those of one name, if one is given."""
    mine = select(stock_lots).where(stock_lots.c.firm_id == firm_id)
    if lot is not None:
        mine = mine.where(stock_lots.c.lot == lot)
    if before:
        mine = mine.where(stock_lots.c.id < before)
    return every(StockLot, connection.execute(mine.order_by(stock_lots.c.id.desc()).limit(limit)))


def lots(connection: Connection, firm_id: UUID) -> Iterator[StockLot]:
    """Every lot of a firm."""
    mine = select(stock_lots).where(stock_lots.c.firm_id == firm_id)
    yield from stream(StockLot, connection.execute(mine.execution_options(yield_per=1000)))


def there(connection: Connection, firm_id: UUID) -> dict[str, int]:
    """Bags left over less bags taken over of each of a firm's materials, in millionths."""
    mine = select(stock_materials).where(stock_materials.c.firm_id == firm_id)
    return {row.material: row.there_bags for row in connection.execute(mine)}


_MATERIAL = with_agreed(
    select(AGREED["body"]).select_from(jobs).join(quotes, quotes.c.id == jobs.c.quote_id)
).where(jobs.c.id == bindparam("job"))


def material(connection: Connection, job_id: UUID) -> str:
    """The code of the material that a job was offered with."""
    code: str = connection.execute(_MATERIAL, {"job": job_id}).scalar_one()["material"]
    return code


def plans(connection: Connection, quote_ids: Collection[UUID]) -> dict[UUID, dict[str, Any]]:
    """What these quotes order, and their totals."""
    statement = select(*(AGREED[name] for name in ("id", "body", "summary"))).select_from(quotes)
    mine = with_agreed(statement).where(quotes.c.id.in_(quote_ids))
    return {row.id: {"body": row.body, "summary": row.summary} for row in connection.execute(mine)}
