"""Quotes and their cavities."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import JSON, ColumnElement, Connection, Select, String, bindparam, func, select, type_coerce

from service.store import finding
from service.store.finding import ANY, Sought
from service.store.prepared import Prepared
from service.store.quote_options import AGREED, AGREED_OPTION, cavity_agreed, with_agreed
from service.store.row_types import (
    Quote,
    QuoteCavity,
    QuoteHead,
    QuoteLine,
    QuoteName,
    QuoteSummary,
    QuoteTotals,
    ShortQuote,
    one,
    some,
)
from service.store.row_types import every as all_of
from service.store.tables import (
    acceptances,
    clients,
    jobs,
    quote_cavities,
    quote_options,
    quotes,
    search_terms,
)
from service.store.types import as_written

HEAVY = ("basis", "summary", "short", "short_singly")
_HEAD = [column for name, column in AGREED.items() if name not in HEAVY]
_TOTALS = [*_HEAD, AGREED["summary"]]


def add(connection: Connection, quote: Mapping[str, Any], cavities: Sequence[Mapping[str, Any]]) -> None:
    """Add a quote and its cavities, those of its options too: two statements however many there are."""
    connection.execute(quotes.insert(), quote)
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


def by_id(connection: Connection, *, firm_id: UUID, quote_id: UUID, lock: bool = False) -> Quote | None:
    """A firm's quote as it was agreed; `lock` holds it against other writers until the transaction ends."""
    statement = with_agreed(_with_client(*AGREED.values()))
    mine = statement.where(quotes.c.id == quote_id, quotes.c.firm_id == firm_id)
    return one(Quote, connection.execute(mine.with_for_update(of=quotes) if lock else mine))


def as_offered(connection: Connection, *, firm_id: UUID, quote_id: UUID) -> Quote | None:
    """A firm's quote as its row says it, whichever of its options was accepted."""
    statement = _with_client(*quotes.c).where(quotes.c.id == quote_id, quotes.c.firm_id == firm_id)
    return one(Quote, connection.execute(statement))


def agreed_value(connection: Connection, quote_id: UUID, name: str) -> Any:
    """One of the values that were agreed, such as `basis`; the others may be large, and are not read."""
    statement = with_agreed(select(AGREED[name]).select_from(quotes)).where(quotes.c.id == quote_id)
    return connection.execute(statement).scalar_one()


def totals_by_id(connection: Connection, *, firm_id: UUID, quote_id: UUID) -> QuoteTotals | None:
    """A firm's quote without what it was worked out from."""
    statement = with_agreed(_with_client(*_TOTALS))
    mine = statement.where(quotes.c.id == quote_id, quotes.c.firm_id == firm_id)
    return one(QuoteTotals, connection.execute(mine))


def _with_client(*columns: Any) -> Select[Any]:
    """These columns of quotes, and what there still is of their clients."""
    client = (
        clients.c.data.label("client"),
        clients.c.sha256.label("client_sha256"),
        clients.c.erased_at.label("client_erased_at"),
    )
    return select(*columns, *client).select_from(quotes).join(clients, clients.c.quote_id == quotes.c.id)


_SHORT = Prepared(
    with_agreed(
        _with_client(*_HEAD, as_written(AGREED["short"]).label("short"), jobs.c.id.label("job_id")).outerjoin(
            jobs, jobs.c.quote_id == quotes.c.id
        )
    ).where(quotes.c.id == bindparam("quote"), quotes.c.firm_id == bindparam("firm"))
)


def short_by_id(connection: Connection, *, firm_id: UUID, quote_id: UUID) -> ShortQuote | None:
    """A firm's quote as it is answered in short, with the job that it became."""
    return _SHORT.one(connection, ShortQuote, quote=quote_id, firm=firm_id)


def every(connection: Connection) -> Iterator[tuple[str, str]]:
    """The ids of every quote and of its firm as they are stored, oldest first: they need not be readable."""
    stored = (type_coerce(column, String) for column in (quotes.c.id, quotes.c.firm_id))
    found = connection.execute(select(*stored).order_by(quotes.c.id).execution_options(yield_per=1000))
    for row in found:
        yield str(row[0]), str(row[1])


def drafts(connection: Connection, firm_id: UUID) -> list[dict[str, Any]]:
    """Of every draft of a firm what it is called, and what it and each of its options was worked out by."""
    head = (quotes.c.id, quotes.c.reference, quotes.c.currency)
    mine = quotes.c.firm_id == firm_id, quotes.c.state == "draft"
    alone = select(*head, quotes.c.body).where(*mine).order_by(quotes.c.id)
    optional = select(*head, quote_options.c.body).join(quote_options).where(*mine).order_by(quotes.c.id)
    names = ("practice", "material", "priced_on")
    return [
        {"id": row.id, "reference": row.reference, "currency": row.currency, **some(row.body, names)}
        for statement in (alone, optional)
        for row in connection.execute(statement)
    ]


def update(connection: Connection, quote_id: UUID, values: Mapping[str, Any]) -> None:
    """Change a quote that is held by `by_id`; its version counts up."""
    connection.execute(
        quotes.update().where(quotes.c.id == quote_id).values(**values, version=quotes.c.version + 1)
    )


def cavities_of(
    connection: Connection, quote_id: UUID, labels: Collection[str] | None = None
) -> list[QuoteCavity]:
    """The cavities that were agreed, in the order they were sent: all of them, or those with these labels."""
    statement = _cavities(quote_id).where(cavity_agreed(quote_id))
    if labels is not None:
        statement = statement.where(quote_cavities.c.label.in_(labels))
    return all_of(QuoteCavity, connection.execute(statement))


def cavities_offered(connection: Connection, quote_id: UUID, option: str | None = None) -> list[QuoteCavity]:
    """The cavities of one of a quote's options, whichever was accepted; without one, those of each."""
    statement = _cavities(quote_id)
    if option is not None:
        statement = statement.where(quote_cavities.c.option == option)
    return all_of(QuoteCavity, connection.execute(statement))


def _cavities(quote_id: UUID) -> Select[Any]:
    mine = select(quote_cavities).where(quote_cavities.c.quote_id == quote_id)
    return mine.order_by(quote_cavities.c.position)


def counts_of(connection: Connection, quote_id: UUID) -> dict[str, int]:
    """How many of each cavity were agreed, by label."""
    statement = select(quote_cavities.c.label, quote_cavities.c.count)
    mine = statement.where(quote_cavities.c.quote_id == quote_id, cavity_agreed(quote_id))
    return {row[0]: row[1] for row in connection.execute(mine)}


def lines_of(connection: Connection, quote_id: UUID) -> list[QuoteLine]:
    """The lines of the cavities that were agreed, in the order they were sent, and none of their working."""
    names = ("label", "count", "line", "single_line")
    statement = select(*(quote_cavities.c[name] for name in names))
    mine = statement.where(quote_cavities.c.quote_id == quote_id, cavity_agreed(quote_id))
    return all_of(QuoteLine, connection.execute(mine.order_by(quote_cavities.c.position)))


def with_summaries(connection: Connection, ids: Collection[UUID]) -> list[QuoteSummary]:
    """What a list of jobs says of these quotes: of the totals no more than it says is read."""
    parts = (
        select(func.sum(quote_cavities.c.count))
        .where(quote_cavities.c.quote_id == quotes.c.id, quote_cavities.c.option == AGREED_OPTION)
        .correlate(quotes, acceptances)
        .scalar_subquery()
    )
    body, summary = (type_coerce(AGREED[name], JSON()) for name in ("body", "summary"))
    said = (
        quotes.c.id,
        AGREED["reference"],
        body["material"].as_string().label("material"),
        summary["bags"].as_integer().label("bags"),
        summary["undeclared"].label("undeclared"),
        clients.c.data.label("client"),
        clients.c.erased_at.label("client_erased_at"),
        parts.label("parts"),
    )
    of_clients = select(*said).select_from(quotes).join(clients, clients.c.quote_id == quotes.c.id)
    found = connection.execute(with_agreed(of_clients).where(quotes.c.id.in_(ids)))
    return all_of(QuoteSummary, found)


def id_by_number(connection: Connection, *, firm_id: UUID, number: str, revision: int | None) -> UUID | None:
    """The id of a firm's offer by its number: of its latest revision, where none is named."""
    statement = select(quotes.c.id).where(quotes.c.firm_id == firm_id, quotes.c.number == number)
    if revision is not None:
        statement = statement.where(quotes.c.revision == revision)
    return connection.execute(statement.order_by(quotes.c.revision.desc()).limit(1)).scalar_one_or_none()


_NAMED_ALIKE = Prepared(
    select(quotes.c.id, quotes.c.firm_id, quotes.c.number)
    .join(search_terms, search_terms.c.owner_id == quotes.c.id)
    .where(
        search_terms.c.firm_id == bindparam("firm"),
        search_terms.c.kind == "reference",
        search_terms.c.term == bindparam("called"),
        search_terms.c.owner_id != bindparam("it"),
        search_terms.c.owner_id != bindparam("revised"),
        quotes.c.state != "withdrawn",
        quotes.c.state != "superseded",
    )
    .order_by(search_terms.c.owner_id.desc())
    .limit(bindparam("most"))
)


def named_alike(connection: Connection, quote: QuoteHead, term: str, most: int) -> list[QuoteName]:
    """The newest quotes but this one that are drafted, offered or accepted under the same reference."""
    its_own = {"it": quote["id"], "revised": quote["revises"] or quote["id"]}
    asked = {"firm": quote["firm_id"], "called": term, "most": most, **its_own}
    return _NAMED_ALIKE.every(connection, QuoteName, **asked)


def page(
    connection: Connection,
    *,
    firm_id: UUID,
    state: str | None,
    today: date,
    limit: int,
    before: UUID | None,
    sought: Sought = ANY,
) -> list[QuoteHead]:
    """Up to `limit` quotes without HEAVY, newest first, older than `before`, in a state on `today`."""
    statement = with_agreed(_with_client(*_HEAD))
    among, rows = None, list[ColumnElement[bool]]()
    if state == "offered":
        # However many have lapsed, those in time are few.
        among = _in_time(firm_id, today)
    elif state == "lapsed":
        rows = [quotes.c.state == "offered", quotes.c.valid_until < today]
    elif state:
        rows = [quotes.c.state == state]
    asked: dict[str, Any] = {"firm_id": firm_id, "sought": sought, "before": before, "limit": limit}
    return all_of(QuoteHead, finding.page(connection, statement, quotes, **asked, rows=rows, among=among))


def _in_time(firm_id: UUID, today: date) -> Select[tuple[UUID]]:
    held = quotes.alias("held").c
    return select(held.id).where(held.firm_id == firm_id, held.state == "offered", held.valid_until >= today)
