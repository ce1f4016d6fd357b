"""Whether what a database lies on takes what is written: not a disk that is full, read-only or failing.

A full disk is found by writing alone, so that the last write that was refused is remembered, by
each process for itself.
"""

import os
import shutil
import time
from pathlib import Path
from weakref import WeakKeyDictionary

from sqlalchemy import Connection, Engine, text

REMEMBERED_S = 60
"""So long is a refusal believed; then the next write may try."""
LEAST_FREE_BYTES = 32 * 2**20
"""A few of the largest requests with their copy in SQLite's log."""

_refused: WeakKeyDictionary[Engine, float] = WeakKeyDictionary()


def note(engine: Engine, *, refused: bool) -> None:
    """Remember how the last write ended."""
    if refused:
        _refused[engine] = time.monotonic()
    else:
        _refused.pop(engine, None)


def fault(connection: Connection) -> str | None:
    """Why nothing can be written just now, in a sentence; None where nothing speaks against it."""
    at = _refused.get(connection.engine)
    if at is not None and time.monotonic() - at < REMEMBERED_S:
        return "The database could not be written: its disk is full, read-only or failing."
    if connection.dialect.name == "postgresql":
        alone = connection.execute(text("SHOW transaction_read_only")).scalar_one() == "on"
        return "The database can only be read." if alone else None
    return file_fault(connection.engine)


def file_fault(engine: Engine) -> str | None:
    """What is wrong with the file of a database: SQLite itself says of it that it cannot be opened."""
    database = engine.url.database
    if engine.dialect.name != "sqlite" or not database or database == ":memory:":
        return None
    if not os.path.exists(database):
        return "The file of the database is gone."
    if not os.access(database, os.W_OK) or not os.access(Path(database).parent, os.W_OK):
        return "The file of the database can only be read."
    free = shutil.disk_usage(Path(database).parent).free
    return "The disk of the database is full." if free < LEAST_FREE_BYTES else None
