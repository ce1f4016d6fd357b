"""A firm's journal: a chain of digests that is only ever added to, one row for each thing that was kept.

Whoever adds to it waits for whoever is adding: the firm's row is locked until the transaction ends.
Everything else that a transaction locks it locks before, in this order: job, quote, number, firm; after it
only the place of events, and then the subscriptions to them.
"""

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Table, exists, select

from service.store.row_types import Journalled, one, stream, the_one
from service.store.tables import firms, journal, quotes


def hold(connection: Connection, firm_id: UUID) -> None:
    """Let nobody else add to this firm's journal until the transaction ends."""
    connection.execute(select(firms.c.id).where(firms.c.id == firm_id).with_for_update(key_share=True))


def end(connection: Connection, firm_id: UUID) -> Journalled | None:
    """The newest row of a firm's journal; none before the first."""
    mine = select(journal).where(journal.c.firm_id == firm_id)
    return one(Journalled, connection.execute(mine.order_by(journal.c.position.desc()).limit(1)))


def at(connection: Connection, firm_id: UUID, position: int) -> str | None:
    """The chain's digest at a place of a firm's journal; none where it does not reach so far."""
    mine = select(journal.c.chain_sha256).where(journal.c.firm_id == firm_id, journal.c.position == position)
    return connection.execute(mine).scalar_one_or_none()


def add(connection: Connection, row: Journalled) -> None:
    """Add a row."""
    connection.execute(journal.insert().values(**row))


def last(connection: Connection, *, kind: str, subject_id: UUID) -> str | None:
    """The newest digest of a thing."""
    its = select(journal.c.sha256).where(journal.c.subject_id == subject_id, journal.c.kind == kind)
    return connection.execute(its.order_by(journal.c.position.desc()).limit(1)).scalar_one_or_none()


def of_firm(connection: Connection, firm_id: UUID) -> Iterator[Journalled]:
    """A firm's whole journal, in its order."""
    mine = select(journal).where(journal.c.firm_id == firm_id).order_by(journal.c.position)
    yield from stream(Journalled, connection.execute(mine.execution_options(yield_per=1000)))


def newest(connection: Connection, *, firm_id: UUID, kind: str) -> dict[UUID, str]:
    """The newest digest of everything of a kind."""
    mine = select(journal.c.subject_id, journal.c.sha256).where(
        journal.c.firm_id == firm_id, journal.c.kind == kind
    )
    rows = connection.execute(mine.order_by(journal.c.position).execution_options(yield_per=1000))
    return {row.subject_id: row.sha256 for row in rows}


def removed_quotes(connection: Connection, firm_id: UUID) -> Iterator[UUID]:
    """The quotes that the journal knows and that are not there."""
    there = exists().where(quotes.c.id == journal.c.subject_id)
    mine = select(journal.c.subject_id).where(journal.c.firm_id == firm_id, journal.c.kind == "quote", ~there)
    yield from connection.execute(mine.distinct()).scalars()


def row_of(connection: Connection, table: Table, subject_id: UUID) -> Mapping[str, Any]:
    """The row of a thing that is kept, by its id."""
    found = connection.execute(select(table).where(_subject(table) == subject_id))
    return the_one(dict[str, Any], found)


def rows_of(connection: Connection, table: Table, firm_id: UUID) -> Iterator[tuple[UUID, Mapping[str, Any]]]:
    """Every row of a firm in a table of things that are kept, with its id."""
    owner = table.c.id if table is firms else table.c.firm_id
    rows = connection.execute(select(table).where(owner == firm_id).execution_options(yield_per=1000))
    for row in stream(dict[str, Any], rows):
        yield row[_subject(table).name], row


def _subject(table: Table) -> Any:
    return next(iter(table.primary_key))
