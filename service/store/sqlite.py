"""SQLite's own: who may read its files, and how its transactions begin.

Its driver's transaction handling is switched off (it would break savepoints and delay BEGIN).
"""

import os
from contextlib import suppress
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection
from sqlalchemy.dialects import registry
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite

from service.errors import SettingsWrong

BUSY_MS = 15_000
DRIVER = "sqlite+baywright"
OWNERS_ALONE, OTHERS = 0o600, 0o077
# What a connection is told of the transaction that it begins next.
WRITES, WAIT_MS = "writes", "wait_ms"


def is_file(database: str | None) -> bool:
    """Whether a database of this name lies in a file, and not in memory."""
    return database not in (None, "", ":memory:")


def make(database: str) -> None:
    """Make the file of a database that is new: an empty one is."""
    with suppress(FileExistsError):
        os.close(os.open(database, os.O_CREAT | os.O_EXCL | os.O_WRONLY, OWNERS_ALONE))


def keep_to_owner(database: str) -> None:
    """See that nobody else may read the file of a database, wherever it lies; its log and index follow it.

    Raises SettingsWrong where that cannot be, and where there is no such file.
    """
    if not os.path.exists(database):
        raise SettingsWrong(f"There is no database {database} yet: run `baywright migrate`.")
    for path in (database, f"{database}-wal", f"{database}-shm"):
        try:
            if os.path.exists(path) and os.stat(path).st_mode & OTHERS:
                os.chmod(path, OWNERS_ALONE)
        except OSError:
            raise SettingsWrong(f"Others may read {path}, and it cannot be made 0600.") from None


def prepare(connection: Any, _record: Any) -> None:
    """What holds for a new connection, whatever is done over it."""
    connection.isolation_level = None
    for pragma in (
        "journal_mode = WAL",
        "synchronous = FULL",
        "foreign_keys = ON",
        "secure_delete = ON",
    ):
        connection.execute(f"PRAGMA {pragma}")


class Sqlite(SQLiteDialect_pysqlite):
    """SQLite, its transactions begun as whoever begins one has asked.

    An event would do as well, but with a listener to any event each connection looks for all of them.
    """

    supports_statement_cache = True

    def create_connect_args(self, url: URL) -> Any:
        """How the driver opens the file of a database: one that is gone is not made anew, and empty."""
        arguments, options = super().create_connect_args(url)
        if is_file(url.database):
            arguments = [f"{Path(arguments[0]).as_uri()}?mode=rw"]
            options["uri"] = True
        return arguments, options

    def do_begin(self, dbapi_connection: Any) -> None:
        """Begin a transaction: with the lock at once where it will write, waited for unless told not to."""
        info, driver = dbapi_connection.info, dbapi_connection.driver_connection
        writes, wait_ms = info.pop(WRITES, False), info.pop(WAIT_MS, BUSY_MS)
        if info.get("busy_ms") != wait_ms:
            driver.execute(f"PRAGMA busy_timeout = {wait_ms}")
            info["busy_ms"] = wait_ms
        driver.execute("BEGIN IMMEDIATE" if writes else "BEGIN")


def will_write(connection: Connection, *, waits: bool) -> None:
    """Let the transaction that a connection begins next take its lock at once, and wait for it or not."""
    connection.info.update({WRITES: True, WAIT_MS: BUSY_MS if waits else 0})


registry.register(DRIVER.replace("+", "."), __name__, Sqlite.__name__)
