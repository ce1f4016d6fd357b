"""Consecutive numbers per firm, kind and year, without gaps.

The row is locked by the very statement that counts it up, and given back by a
rollback: two transactions can neither take one number nor leave one out.
"""

from uuid import UUID

from sqlalchemy import Connection
from sqlalchemy.dialects import postgresql, sqlite

from service.store.tables import series


def take(connection: Connection, *, firm_id: UUID, kind: str, year: int) -> int:
    """The next number, from 1."""
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    insert = dialect.insert(series).values(firm_id=firm_id, kind=kind, year=year, last=1)
    statement = insert.on_conflict_do_update(
        index_elements=["firm_id", "kind", "year"], set_={"last": series.c.last + 1}
    ).returning(series.c.last)
    return connection.execute(statement).scalar_one()
