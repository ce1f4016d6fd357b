"""Imports: which quotes came with their jobs out of an archive, and what their chain was then."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.row_types import Import, one
from service.store.tables import imports


def add(
    connection: Connection, quote_id: UUID, *, firm_id: UUID, chain: Mapping[str, Any], now: datetime
) -> None:
    """Note that a quote was imported, with the neighbours of its certificates in the firm's chain."""
    connection.execute(
        imports.insert().values(quote_id=quote_id, firm_id=firm_id, chain=dict(chain), imported_at=now)
    )


def of_quote(connection: Connection, quote_id: UUID) -> Import | None:
    """The import that a quote came by."""
    return one(Import, connection.execute(select(imports).where(imports.c.quote_id == quote_id)))
