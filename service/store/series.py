"""Consecutive numbers per firm, kind and year, without gaps.

The row is locked by the very statement that counts it up, and given back by a
rollback: two transactions can neither take one number nor leave one out.
"""

from collections.abc import Iterator
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Select, select
from sqlalchemy.dialects import postgresql, sqlite

from service.store.tables import certificates, imports, jobs, quotes, series

KINDS = ("quote", "job", "certificate")


def take(connection: Connection, *, firm_id: UUID, kind: str, year: int, count: int = 1) -> int:
    """The next number, from 1; of several that are taken at once the last."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(series).values(firm_id=firm_id, kind=kind, year=year, last=count)
    statement = insert.on_conflict_do_update(
        index_elements=["firm_id", "kind", "year"], set_={"last": series.c.last + count}
    ).returning(series.c.last)
    number: int = connection.execute(statement).scalar_one()
    return number


def at_least(connection: Connection, *, firm_id: UUID, kind: str, year: int, number: int) -> None:
    """See to it that no number up to this one is taken again."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(series).values(firm_id=firm_id, kind=kind, year=year, last=number)
    connection.execute(
        insert.on_conflict_do_update(
            index_elements=["firm_id", "kind", "year"],
            set_={"last": insert.excluded.last},
            where=series.c.last < insert.excluded.last,
        )
    )


def last_taken(connection: Connection, *, firm_id: UUID, kind: str) -> dict[int, int]:
    """The last number taken in each year."""
    found = connection.execute(
        select(series.c.year, series.c.last).where(series.c.firm_id == firm_id, series.c.kind == kind)
    )
    return {row.year: row.last for row in found}


def in_use(connection: Connection, *, firm_id: UUID, kind: str) -> Iterator[tuple[str, bool]]:
    """Every number that is there, and whether it was imported."""
    for row in connection.execute(_numbered(kind, firm_id).execution_options(yield_per=1000)):
        yield row.number, row.imported


def _numbered(kind: str, firm_id: UUID) -> Select[Any]:
    table = {"quote": quotes, "job": jobs, "certificate": certificates}[kind]
    statement = select(table.c.number, imports.c.quote_id.is_not(None).label("imported"))
    statement = statement.where(table.c.firm_id == firm_id, table.c.number.is_not(None))
    if kind == "quote":
        return statement.outerjoin(imports, imports.c.quote_id == quotes.c.id)
    if kind == "certificate":
        statement = statement.outerjoin(jobs, jobs.c.id == certificates.c.job_id)
    return statement.outerjoin(imports, imports.c.quote_id == jobs.c.quote_id)
