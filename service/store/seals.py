"""Seals: a chain of digests for each quote, over everything that was issued of it."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.row_types import Seal, every
from service.store.tables import quotes, seals

NO_PREVIOUS = "0" * 64
"""What stands before the first link of any chain: of a quote's seals, a firm's certificates, its journal."""


def take(connection: Connection, quote_id: UUID, count: int) -> tuple[UUID, int]:
    """Whose a quote is, and the first of its next `count` positions.

    Others who seal this quote wait until the transaction ends.
    """
    taken = connection.execute(
        quotes.update()
        .where(quotes.c.id == quote_id)
        .values(sealed=quotes.c.sealed + count)
        .returning(quotes.c.firm_id, quotes.c.sealed)
    )
    firm_id, last = taken.one()
    return firm_id, last - count + 1


def hold(connection: Connection, quote_id: UUID) -> None:
    """Let nobody else seal this quote until the transaction ends."""
    connection.execute(select(quotes.c.id).where(quotes.c.id == quote_id).with_for_update())


def end(connection: Connection, quote_id: UUID) -> str:
    """The digest of the whole chain as it is now; zeros before the first seal."""
    found = connection.execute(
        select(seals.c.chain_sha256)
        .where(seals.c.quote_id == quote_id)
        .order_by(seals.c.position.desc())
        .limit(1)
    )
    return found.scalar_one_or_none() or NO_PREVIOUS


def add_all(connection: Connection, rows: Sequence[Mapping[str, Any]]) -> None:
    """Add seals in one statement."""
    connection.execute(seals.insert(), list(rows))


def of_quote(connection: Connection, quote_id: UUID) -> list[Seal]:
    """A quote's seals, in their order."""
    rows = connection.execute(select(seals).where(seals.c.quote_id == quote_id).order_by(seals.c.position))
    return every(Seal, rows)
