"""Running a transaction again after what passes by itself: a database that is busy, restarting or away."""

import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

from sqlalchemy import exc

from service.engine.ground.messages import message
from service.errors import Unavailable

T = TypeVar("T")

PAUSES_S = (0.05, 0.1, 0.2, 0.4, 0.8)
# Whoever has waited this long, for a lock say, is told so instead of waiting again.
LONGEST_WAIT_S = 4.0

# PostgreSQL, appendix A of its manual. Classes: connection, rollback (deadlock, serialization),
# resources, operator (shutdown, starting up). Single codes: a lock not had in time, and a server
# that has become a standby.
PASSING_CLASSES = frozenset({"08", "40", "53", "57"})
PASSING_CODES = frozenset({"55P03"})
# SQLite, "Result and Error Codes": SQLITE_BUSY and SQLITE_LOCKED, without their extensions.
BUSY_CODES = frozenset({5, 6})
# Of the disk. SQLite: SQLITE_READONLY, SQLITE_IOERR, SQLITE_FULL, SQLITE_CANTOPEN. PostgreSQL: disk_full,
# read_only_sql_transaction, and the class of system errors that are not its own.
STORAGE_CODES = frozenset({8, 10, 13, 14})
STORAGE_CLASS, STORAGE_STATES = "58", frozenset({"53100", "25006"})

NOTHING_STORED = message("store.nothing_stored")
NOT_KNOWN = message("store.not_known")
NO_STORAGE = message("store.no_storage")


def retried(transaction: Callable[[], T], *, repeatable: bool) -> T:
    """Run a whole transaction, a few times over while it raises Unavailable; then raise that.

    One whose commit is in doubt is run again only when it is `repeatable`: when a
    second run has no second effect.
    """
    began, pauses = time.monotonic(), iter(PAUSES_S)
    undecided = False
    while True:
        try:
            return transaction()
        except Unavailable as error:
            if error.lasting and not undecided:
                raise
            undecided = undecided or error.undecided
            pause_s, waited_s = next(pauses, None), time.monotonic() - began
            if pause_s is None or waited_s > LONGEST_WAIT_S or (undecided and not repeatable):
                raise _unavailable(undecided) from error.__cause__
            time.sleep(pause_s * random.uniform(0.5, 1.5))  # noqa: S311 - apart in time, not secret


@contextmanager
def passing_as_unavailable(*, committing: bool = False) -> Iterator[None]:
    """Raise Unavailable for what passes by itself; everything else is raised as it is."""
    try:
        yield
    except (exc.DBAPIError, exc.TimeoutError) as error:
        if _is_of_the_disk(error):
            detail = NOT_KNOWN if committing else NO_STORAGE
            raise Unavailable(detail, undecided=committing, lasting=True) from error
        if not _passes(error):
            raise
        raise _unavailable(undecided=committing) from error


def _unavailable(undecided: bool) -> Unavailable:
    return Unavailable(NOT_KNOWN if undecided else NOTHING_STORED, undecided=undecided)


def _is_of_the_disk(error: exc.SQLAlchemyError) -> bool:
    cause: Any = getattr(error, "orig", None)
    if hasattr(cause, "sqlite_errorcode"):
        return cause.sqlite_errorcode & 0xFF in STORAGE_CODES
    state = str(getattr(cause, "sqlstate", None))
    return state[:2] == STORAGE_CLASS or state in STORAGE_STATES


def _passes(error: exc.SQLAlchemyError) -> bool:
    if isinstance(error, exc.TimeoutError) or getattr(error, "connection_invalidated", False):
        return True
    cause: Any = getattr(error, "orig", None)
    if hasattr(cause, "sqlite_errorcode"):
        return cause.sqlite_errorcode & 0xFF in BUSY_CODES
    if hasattr(cause, "sqlstate"):
        # No code at all: the server was not reached, or is gone.
        code = cause.sqlstate
        lost = code is None and isinstance(error, exc.OperationalError)
        return lost or str(code)[:2] in PASSING_CLASSES or code in PASSING_CODES
    return False
