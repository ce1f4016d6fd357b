"""Options of an offer. The one that was accepted takes the place of what the quote says of itself."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Connection, Select, and_, func, select

from service.store.layout.quotes import BASE_OPTION
from service.store.row_types import QuoteOption, every, the_one
from service.store.tables import acceptances, quote_cavities, quote_options, quotes

_NAMES = ("body", "basis", "summary", "short", "total")
AGREED: Mapping[str, ColumnElement[Any]] = {
    **{column.name: column for column in quotes.c},
    **{name: func.coalesce(quote_options.c[name], quotes.c[name]).label(name) for name in _NAMES},
}
"""The columns of quotes as they were agreed, for statements that are joined by `with_agreed`."""
_OWN = func.coalesce(quote_options.c.short_singly, quote_options.c.short)
SHORT_SINGLY: ColumnElement[Any] = func.coalesce(_OWN, quotes.c.short_singly, quotes.c.short)
"""The short takeoff that was agreed, part by part."""
AGREED_OPTION = func.coalesce(acceptances.c.option, BASE_OPTION)
"""Which option that is; what nobody accepted stands as it was offered."""


def with_agreed(statement: Select[Any]) -> Select[Any]:
    """A statement of quotes with the option beside each that was accepted, if it has any."""
    accepted = and_(quote_options.c.quote_id == quotes.c.id, quote_options.c.option == acceptances.c.option)
    beside = statement.outerjoin(acceptances, acceptances.c.owner_id == quotes.c.id)
    return beside.outerjoin(quote_options, accepted)


def cavity_agreed(quote_id: UUID) -> ColumnElement[bool]:
    """Whether a cavity is of the option of its quote that was agreed."""
    accepted = select(acceptances.c.option).where(acceptances.c.owner_id == quote_id).scalar_subquery()
    return quote_cavities.c.option == func.coalesce(accepted, BASE_OPTION)


def add(connection: Connection, quote_id: UUID, options: Sequence[Mapping[str, Any]]) -> None:
    """Add the options of a draft, beside what it is by itself."""
    if options:
        connection.execute(quote_options.insert(), [{**row, "quote_id": quote_id} for row in options])


def remove(connection: Connection, quote_id: UUID) -> None:
    """Take the options of a draft away."""
    connection.execute(quote_options.delete().where(quote_options.c.quote_id == quote_id))


def of_quote(connection: Connection, quote_id: UUID) -> list[QuoteOption]:
    """A quote's options but the one that it is by itself, in their order."""
    mine = select(quote_options).where(quote_options.c.quote_id == quote_id)
    return every(QuoteOption, connection.execute(mine.order_by(quote_options.c.option)))


def totals(connection: Connection, quote_id: UUID) -> list[dict[str, Any]]:
    """Number, text, body and totals of each of a quote's options, what it is by itself first."""
    alone = [quotes.c[name] for name in ("body", "summary", "total")]
    base = the_one(dict[str, Any], connection.execute(select(*alone).where(quotes.c.id == quote_id)))
    names = ("option", "text", "body", "summary", "total")
    mine = select(*(quote_options.c[name] for name in names)).where(quote_options.c.quote_id == quote_id)
    others = every(dict[str, Any], connection.execute(mine.order_by(quote_options.c.option)))
    return [{"option": BASE_OPTION, "text": None, **base}, *others]


def lines(connection: Connection, quote_id: UUID) -> dict[str, dict[str, Any]]:
    """The line of each cavity by its label, by the option that it is of."""
    names = ("option", "label", "line")
    mine = select(*(quote_cavities.c[name] for name in names)).where(quote_cavities.c.quote_id == quote_id)
    found: dict[str, dict[str, Any]] = {}
    for row in connection.execute(mine.order_by(quote_cavities.c.position)):
        found.setdefault(row.option, {})[row.label] = row.line["line"]
    return found
