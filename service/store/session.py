"""The database: how a connection is opened and how a transaction begins.

SQLite and PostgreSQL behave alike from here on. SQLite's own transaction
handling is switched off (it would break savepoints and delay BEGIN), foreign
keys are on, and a transaction that will write takes its lock at once, so that
it can wait for another writer instead of failing half-way.

On PostgreSQL a transaction sees no firm's rows until it says whose it may see:
row-level security is the second wall behind the queries' own filters.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Engine, create_engine, event, func, select, text

BUSY_MS = 15_000


def open_database(url: str, *, operator: bool = False) -> Engine:
    """An engine for `url`, prepared for its kind of database; the operator's sees every firm's rows."""
    if url.startswith("sqlite"):
        engine = create_engine(url, connect_args={"timeout": BUSY_MS / 1000})
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    engine = create_engine(url, pool_pre_ping=True, pool_size=4, max_overflow=4)
    if operator:
        event.listen(engine, "connect", _reveal_every_firm)
    return engine


def _reveal_every_firm(connection: Any, _record: Any) -> None:
    connection.execute("SET baywright.firm = 'every'")
    connection.commit()


def _prepare_sqlite(connection: Any, _record: Any) -> None:
    connection.isolation_level = None
    for pragma in (
        "journal_mode = WAL",
        "synchronous = FULL",
        "foreign_keys = ON",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    options = connection.get_execution_options()
    connection.exec_driver_sql(f"PRAGMA busy_timeout = {BUSY_MS if options.get('waits', True) else 0}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("writes") else "BEGIN")


@contextmanager
def reading(engine: Engine, *, firm_id: UUID | None = None) -> Iterator[Connection]:
    """A transaction that only reads, the rows of a firm if one is given."""
    with engine.connect() as connection, connection.begin():
        if firm_id:
            reveal(connection, firm=firm_id)
        yield connection


@contextmanager
def writing(engine: Engine, *, firm_id: UUID | None = None, waits: bool = True) -> Iterator[Connection]:
    """A transaction that writes: committed when the block ends, undone when it raises.

    Unless it `waits`, it raises OperationalError at once when SQLite has another writer.
    """
    with engine.connect().execution_options(writes=True, waits=waits) as connection, connection.begin():
        if firm_id:
            reveal(connection, firm=firm_id)
        yield connection


def reveal(connection: Connection, **named: object) -> None:
    """Let this transaction see more, until it ends: the rows of a `firm`, or the one row it can name.

    That row is a `key` by its prefix, a certificate by its `number`, or a `link` by
    its id: what is looked up before anybody knows whose it is. SQLite hides nothing.
    """
    if connection.dialect.name == "postgresql":
        for name, value in named.items():
            connection.execute(select(func.set_config(f"baywright.{name}", str(value), True)))


def is_ready(engine: Engine) -> bool:
    """Whether the database answers."""
    with reading(engine) as connection:
        return connection.execute(text("SELECT 1")).scalar_one() == 1
