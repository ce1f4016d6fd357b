"""Whole rows of any table, from the plain JSON that an archive keeps them in."""

from collections.abc import Callable, Collection, Mapping, Sequence
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, Column, Connection, Date, Float, Integer, String, Table, Uuid

from service.engine.ground.rfc3339 import read_day, read_moment
from service.store.types import Deflated, Instant, Money, Packed


def names(table: Table, without: Collection[str] = ()) -> list[str]:
    """The columns of a table, without some."""
    return [column.name for column in table.c if column.name not in without]


def read(table: Table, values: Any, without: Collection[str] = ()) -> dict[str, Any]:
    """A row from JSON, its columns complete and of their kinds; raises ValueError, naming the column."""
    if not isinstance(values, dict) or values.keys() != set(names(table, without)):
        raise ValueError(f"a row of {table.name} has these members: {', '.join(names(table, without))}")
    return {name: _value(table.c[name], value) for name, value in values.items()}


def add_all(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Add rows; none is no fault."""
    if rows:
        connection.execute(table.insert(), list(rows))


def _value(column: Column[Any], value: Any) -> Any:
    if value is None and column.nullable:
        return None
    for kind, accepted, reader in READERS:
        if isinstance(column.type, kind):
            # True is an int to Python, and none here.
            if isinstance(value, accepted) and not (isinstance(value, bool) and accepted is not object):
                return _read(column, reader, value)
            break
    raise ValueError(f"{column.table.name}.{column.name} is not of its kind")


def _read(column: Column[Any], reader: Callable[[Any], Any], value: Any) -> Any:
    try:
        return reader(value)
    except (ArithmeticError, ValueError):
        raise ValueError(f"{column.table.name}.{column.name} cannot be {str(value)[:80]!a}") from None


READERS: Sequence[tuple[type, Any, Callable[[Any], Any]]] = (
    (Instant, str, read_moment),
    (Money, str, Decimal),
    (Uuid, str, UUID),
    (Date, str, read_day),
    (Integer, int, int),
    (Float, (int, float), float),
    (String, str, str),
    (JSON, object, lambda value: value),
    # At once: thousands of workings are held until all of an archive is examined.
    (Packed, object, Deflated.of),
)
