"""What somebody can do who may write to the database and has dropped its triggers."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

from sqlalchemy import Column, Connection, Engine, text

from service.store.tables import metadata
from service.store.types import Deflated, Instant
from tests.api import NOW

TABLES = metadata.tables


def drop_triggers(connection: Connection) -> None:
    """What an attacker who owns the database begins with."""
    if connection.dialect.name == "postgresql":
        for name in TABLES:
            connection.execute(text(f"ALTER TABLE {name} DISABLE TRIGGER USER"))
            connection.execute(text(f"ALTER TABLE {name} DISABLE ROW LEVEL SECURITY"))
    else:
        names = text("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        for name in connection.execute(names).scalars().all():
            connection.execute(text(f"DROP TRIGGER {name}"))


@contextmanager
def undone(database: Engine) -> Iterator[Connection]:
    """A transaction that is taken back."""
    with database.connect().execution_options(writes=True) as connection:
        transaction = connection.begin()
        try:
            yield connection
        finally:
            transaction.rollback()


def is_row(table: str, row: Any) -> Any:
    """The condition that finds this row."""
    key = [column == row[column.name] for column in TABLES[table].primary_key.columns]
    condition = key[0]
    for each in key[1:]:
        condition &= each
    return condition


def another(column: Column[Any], value: Any) -> Any:
    """A value of the same kind that is not this one."""
    if isinstance(value, bool | dict | list):
        return {"altered": value}
    if isinstance(value, Deflated):
        return {"altered": value.plain}
    if isinstance(value, str):
        return value[:-1] + ("0" if value[-1] != "0" else "1")
    if isinstance(value, int | float | Decimal):
        return value + 1000
    if isinstance(value, datetime):
        return value + timedelta(seconds=1)
    if isinstance(value, date):
        return value + timedelta(days=1)
    if isinstance(value, bytes | memoryview):
        return bytes(value)[:-1] + bytes([bytes(value)[-1] ^ 1])
    if isinstance(value, UUID):
        return uuid4()
    return _made_up(column)


def _made_up(column: Column[Any]) -> Any:
    """Something where nothing was."""
    if isinstance(column.type, Instant):
        return NOW
    if column.name.endswith("sha256"):
        return "0" * 64
    values = {"made": "up"}
    made = {str: "made up", UUID: uuid4(), float: 1.5, object: values, Deflated: values}
    return made[column.type.python_type]
