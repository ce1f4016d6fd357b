"""Issued files: made outside any transaction, attached once, then served as they are.

A record without its file is the sign that the file is still to be made. Making
it is repeatable, and the first one attached stays: whoever comes first may do
it, and doing it twice does no harm.
"""

import logging
from collections.abc import Callable, Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Erased
from service.store import clients, files, seals
from service.store.retry import retried
from service.store.row_types import File
from service.store.session import reading, writing
from service.usecases.base.context import Context
from service.usecases.base.seals import of_rows, seal

log = logging.getLogger("baywright")


def made_once(
    context: Context, kind: str, owner_id: UUID, make: Callable[[], bytes], *, client_of: UUID
) -> Mapping[str, Any]:
    """The file of an owner: the stored one, or a new one stored first.

    It names the client of the quote `client_of`; raises Erased once that client's data is.
    """
    stored = retried(lambda: _stored(context, kind, owner_id, client_of), repeatable=True)
    if stored is not None:
        return stored
    content = make()
    return retried(lambda: _attached(context, kind, owner_id, content, client_of), repeatable=True)


def _stored(context: Context, kind: str, owner_id: UUID, client_of: UUID) -> File | None:
    with reading(context.database, firm_id=context.firm_id) as connection:
        _must_not_be_erased(connection, client_of)
        return files.of(connection, kind=kind, owner_id=owner_id)


def _attached(context: Context, kind: str, owner_id: UUID, content: bytes, client_of: UUID) -> File:
    with writing(context.database, firm_id=context.firm_id) as connection:
        # An erasure may have been faster than the making: what it missed must not be stored after it.
        seals.hold(connection, client_of)
        _must_not_be_erased(connection, client_of)
        new = files.attach(connection, kind=kind, owner_id=owner_id, content=content, now=context.now)
        attached = files.of(connection, kind=kind, owner_id=owner_id)
        assert attached is not None
        if new:
            seal(connection, client_of, of_rows("file", [attached]))
        return attached


def _must_not_be_erased(connection: Connection, quote_id: UUID) -> None:
    client = clients.of_quote(connection, quote_id)
    if client["erased_at"]:
        raise Erased(message("documents.erased", day=client["erased_at"].date()))


def ahead(make: Callable[[], object]) -> None:
    """Make a file before it is asked for. What it belongs to is stored: a failure is for the log alone."""
    try:
        make()
    except Exception:
        log.exception("a file could not be made: it is made when it is asked for")
