"""Quotes and their cavities."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select

from service.store.tables import quote_cavities, quotes

HEAVY = ("basis", "summary")


def add(connection: Connection, quote: Mapping[str, Any], cavities: Sequence[Mapping[str, Any]]) -> None:
    """Add a quote and its cavities, in two statements however many there are."""
    connection.execute(quotes.insert().values(**quote))
    _add_cavities(connection, quote["id"], cavities)


def _add_cavities(connection: Connection, quote_id: UUID, cavities: Sequence[Mapping[str, Any]]) -> None:
    connection.execute(
        quote_cavities.insert(),
        [{**row, "quote_id": quote_id, "position": position} for position, row in enumerate(cavities)],
    )


def replace_cavities(connection: Connection, quote_id: UUID, cavities: Sequence[Mapping[str, Any]]) -> None:
    """Put other cavities in the place of a draft's."""
    connection.execute(quote_cavities.delete().where(quote_cavities.c.quote_id == quote_id))
    _add_cavities(connection, quote_id, cavities)


def by_id(connection: Connection, *, firm_id: UUID, quote_id: UUID, lock: bool = False) -> RowMapping | None:
    """A firm's quote; `lock` holds it against other writers until the transaction ends."""
    statement = select(quotes).where(quotes.c.id == quote_id, quotes.c.firm_id == firm_id)
    return connection.execute(statement.with_for_update() if lock else statement).mappings().one_or_none()


def update(connection: Connection, quote_id: UUID, version: int, values: Mapping[str, Any]) -> bool:
    """Change a quote if it is still at `version`, which counts up; False when it is not."""
    changed = connection.execute(
        quotes.update()
        .where(quotes.c.id == quote_id, quotes.c.version == version)
        .values(**values, version=version + 1)
    )
    return changed.rowcount == 1


def cavities_of(connection: Connection, quote_id: UUID) -> list[RowMapping]:
    """A quote's cavities, in the order they were sent."""
    rows = connection.execute(
        select(quote_cavities)
        .where(quote_cavities.c.quote_id == quote_id)
        .order_by(quote_cavities.c.position)
    )
    return list(rows.mappings())


def page(
    connection: Connection, *, firm_id: UUID, state: str | None, today: date, limit: int, before: UUID | None
) -> list[RowMapping]:
    """Up to `limit` quotes without HEAVY, newest first, older than `before`, in a state on `today`."""
    heads = [column for column in quotes.c if column.name not in HEAVY]
    statement = select(*heads).where(quotes.c.firm_id == firm_id)
    if state in ("offered", "lapsed"):
        in_time = quotes.c.valid_until >= today
        statement = statement.where(quotes.c.state == "offered", in_time if state == "offered" else ~in_time)
    elif state:
        statement = statement.where(quotes.c.state == state)
    if before:
        statement = statement.where(quotes.c.id < before)
    return list(connection.execute(statement.order_by(quotes.c.id.desc()).limit(limit)).mappings())
