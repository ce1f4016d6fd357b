"""The database: how a connection is opened and how a transaction begins.

SQLite and PostgreSQL behave alike from here on. SQLite's own transaction
handling is switched off (it would break savepoints and delay BEGIN), foreign
keys are on, and a transaction that will write takes its lock at once, so that
it can wait for another writer instead of failing half-way.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, text

BUSY_MS = 15_000


def open_database(url: str) -> Engine:
    """An engine for `url`, prepared for its kind of database."""
    if url.startswith("sqlite"):
        engine = create_engine(url, connect_args={"timeout": BUSY_MS / 1000})
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    return create_engine(url, pool_pre_ping=True, pool_size=4, max_overflow=4)


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    connection.isolation_level = None
    for pragma in (
        "journal_mode = WAL",
        "synchronous = FULL",
        "foreign_keys = ON",
        f"busy_timeout = {BUSY_MS}",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A transaction that only reads."""
    with engine.connect() as connection, connection.begin():
        yield connection


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A transaction that writes: committed when the block ends, undone when it raises."""
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        yield connection


def is_ready(engine: Engine) -> bool:
    """Whether the database answers."""
    with reading(engine) as connection:
        return connection.execute(text("SELECT 1")).scalar_one() == 1
