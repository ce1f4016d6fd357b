"""Quotes and jobs by what is known of them, newest first: as quick among a million as among a thousand.

One word leads, the one that is rarest as a rule: its index has the ids in their order, so that a page is
read from it and no more. Ids are UUIDs of version 7, which begin with their time (RFC 9562, 5.7): days
bound them.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Connection, CursorResult, Select, Table, exists, func, literal, select
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.sql.functions import ReturnTypeFromArgs

from service.store.tables import search_terms
from service.store.terms import Term

LAST = "\U0010ffff"
FEW, NEAR = 2_000, 1_000
"""As many words that begin alike are read at once; of more, a page is first looked for among so many rows."""
SLACK = timedelta(hours=1)
"""How far the time in an id may lie from when its row says that it was made."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sought:
    """What is known of what is sought: words, beginnings of words, its number, when it was made."""

    terms: Sequence[Term] = ()
    begins: Sequence[Term] = ()
    number: str | None = None
    since: datetime | None = None
    until: datetime | None = None


class held_against(ReturnTypeFromArgs[Any]):  # noqa: N801 - it is called as a function of SQL
    """A column that rows are held against or put in order by, and not looked up by.

    SQLite knows no figures of its tables and would rather look through all of a firm's rows, in their order,
    than read those few that have a word or a number.
    """

    inherit_cache = True


@compiles(held_against)
def _plain(element: held_against, compiler: Any, **asked: Any) -> str:
    column: str = compiler.process(element.clauses, **asked)
    return column


@compiles(held_against, "sqlite")
def _without_index(element: held_against, compiler: Any, **asked: Any) -> str:
    # https://sqlite.org/optoverview.html, "Disqualifying WHERE clause terms using unary +"
    return f"+{_plain(element, compiler, **asked)}"


ANY = Sought()
Days = tuple[datetime, datetime]


def newest_first(
    statement: Select[Any], table: Table, *, sought: Sought, limit: int, **asked: Any
) -> Select[Any]:
    """The rows of `table` in a statement that are sought, as `ids_newest_first` says.

    What is led by words is found by itself first: what a database knows of its tables tells nothing of one
    firm's words among all firms', and left to join as it likes it may read all that the firm has.
    """
    lead, conditions = _sought(table, sought=sought, **asked)
    if lead is table.c.id:
        return _newest(statement, lead, conditions, sought, limit)
    ids: Select[Any] = select(lead.label("id"))
    found = _newest(ids, lead, conditions, sought, limit).subquery("page")
    return statement.join(found, found.c.id == table.c.id).order_by(found.c.id.desc())


def ids_newest_first(table: Table, *, sought: Sought, limit: int, **asked: Any) -> Select[Any]:
    """The ids of the rows of a firm that are sought: up to `limit`, older than `before`.

    `rows` is what else holds for them. `among` is what a few ids are found by that bind it more than any
    word: they lead then.
    """
    lead, conditions = _sought(table, sought=sought, **asked)
    return _newest(select(lead.label("id")), lead, conditions, sought, limit)


def _newest(
    statement: Select[Any],
    lead: ColumnElement[UUID],
    conditions: Sequence[ColumnElement[bool]],
    sought: Sought,
    limit: int,
) -> Select[Any]:
    order = held_against(lead) if sought.number else lead
    return statement.where(*conditions).order_by(order.desc()).limit(limit)


def _sought(
    table: Table,
    *,
    firm_id: UUID,
    sought: Sought,
    before: UUID | None,
    rows: Sequence[ColumnElement[bool]] = (),
    among: Select[tuple[UUID]] | None = None,
) -> tuple[ColumnElement[UUID], list[ColumnElement[bool]]]:
    """What leads, and what must hold."""
    terms, begins = sorted(sought.terms, key=_rarity), list(sought.begins)
    if among is None and begins and not terms and not sought.number:
        among = _beginning(firm_id, begins.pop(0))
    words = [search_terms.alias("first" if n == 0 else f"word_{n}") for n in range(len(terms))]
    ids: list[ColumnElement[UUID]] = [word.c.owner_id for word in words]
    if among is not None:
        ids.insert(0, _in_order(among))
    elif not words or sought.number:
        ids.insert(0, table.c.id)
    lead, *others = ids
    its = (table.c.firm_id == firm_id, *rows, *_made(table, sought))
    return lead, [
        *(other == lead for other in others),
        *(each for word, term in zip(words, terms, strict=True) for each in _is(word, firm_id, term)),
        *(lead.in_(_beginning(firm_id, begin)) for begin in begins),
        *(its if lead is table.c.id else [_row_is(table, ids, its)]),
        *_within([lead if among is None else held_against(lead), *others], sought, before),
    ]


def _in_order(among: Select[tuple[UUID]]) -> ColumnElement[UUID]:
    """These ids, each once."""
    (found,) = among.selected_columns
    (led,) = among.group_by(found).order_by(found.desc()).subquery("led").c
    return led


def _row_is(
    table: Table, ids: Sequence[ColumnElement[UUID]], its: Sequence[ColumnElement[bool]]
) -> ColumnElement[bool]:
    """That the row with these ids, which are one, is as it must be: asked row by row."""
    asked = select(literal(1)).where(*(table.c.id == each for each in ids), *its)
    # With a limit it is not turned into a join. Of all ids, so that it is asked when all words are there.
    return exists(asked.limit(1).offset(0))


def _made(table: Table, sought: Sought) -> Iterator[ColumnElement[bool]]:
    if sought.number is not None:
        yield table.c.number == sought.number
    if sought.since:
        yield table.c.created_at >= sought.since
    if sought.until:
        yield table.c.created_at < sought.until


def _within(
    ids: Sequence[ColumnElement[UUID]], sought: Sought, before: UUID | None
) -> Iterator[ColumnElement[bool]]:
    """By days, and by where the page begins: ids wherever they are read, as they are merged."""
    for each in ids:
        if sought.since:
            yield each >= least_id(sought.since - SLACK)
        if sought.until:
            yield each < least_id(sought.until + SLACK)
        if before:
            yield each < before


def page(
    connection: Connection,
    statement: Select[Any],
    table: Table,
    *,
    sought: Sought,
    among: Select[tuple[UUID]] | None = None,
    **asked: Any,
) -> CursorResult[Any]:
    """What `newest_first` finds, whether what is sought is rare or in every row."""
    if sought.begins and not sought.terms and among is None:
        near = _near(connection, table, sought, **asked)
        if len(near) == asked["limit"]:
            among, sought = select(table.c.id).where(table.c.id.in_(near)), ANY
    with _planned_for_words(connection, sought):
        return connection.execute(newest_first(statement, table, sought=sought, among=among, **asked))


def _near(
    connection: Connection,
    table: Table,
    sought: Sought,
    rows: Sequence[ColumnElement[bool]] = (),
    **asked: Any,
) -> Sequence[UUID]:
    """The ids of a page by beginnings of words that many have: the newest rows are enough, as a rule."""
    firm_id, before = asked["firm_id"], asked["before"]
    having = _beginning(firm_id, sought.begins[0]).limit(FEW).subquery()
    if connection.execute(select(func.count()).select_from(having)).scalar_one() < FEW:
        return []
    newest = select(table.c.id).where(table.c.firm_id == firm_id, *([table.c.id < before] if before else []))
    its = newest.order_by(table.c.id.desc()).limit(NEAR).subquery("near").c.id
    rest = Sought(number=sought.number, since=sought.since, until=sought.until)
    rows = (*rows, *(_begins(table, each) for each in sought.begins))
    found = ids_newest_first(table, sought=rest, rows=rows, among=select(its), **asked)
    return [row[0] for row in connection.execute(found)]


def _begins(table: Table, term: Term) -> ColumnElement[bool]:
    """That a row has a word that begins so: asked row by row, by its id."""
    of = search_terms.alias().c
    within = of.term >= term[1], of.term < term[1] + LAST
    asked = select(of.term).where(of.owner_id == table.c.id, of.kind == term[0], *within)
    # With a limit it is not turned into a join, for which all that begin so would be read.
    return exists(asked.limit(1).offset(0))


@contextmanager
def _planned_for_words(connection: Connection, sought: Sought) -> Iterator[None]:
    """Sought by words a statement is planned for these, of which each may be rare or in every row.

    PostgreSQL would keep a plan that is the best on the average of all words: it is not told to prepare it.
    """
    if connection.dialect.name != "postgresql" or not (sought.terms or sought.begins):
        yield
        return
    driver: Any = connection.connection.driver_connection
    kept, driver.prepare_threshold = driver.prepare_threshold, None
    try:
        yield
    finally:
        driver.prepare_threshold = kept


def _rarity(term: Term) -> tuple[bool, int]:
    """The long ones before the short ones, and numbers last: every street has a house of that number."""
    return term[1].isdigit(), -len(term[1])


def _is(terms: Any, firm_id: UUID, term: Term) -> tuple[Any, ...]:
    """By all columns of an index that has the ids in their order: two words are merged as they are read."""
    return terms.c.firm_id == firm_id, terms.c.kind == term[0], terms.c.term == term[1]


def _beginning(firm_id: UUID, term: Term) -> Select[tuple[UUID]]:
    """What has a word that begins so: terms are ordered by code points, and this one is the last."""
    kind, begin = term
    of = search_terms.c
    within = of.term >= begin, of.term < begin + LAST
    return select(of.owner_id).where(of.firm_id == firm_id, of.kind == kind, *within)


def made_between(table: Table, days: Days, at: str = "created_at") -> tuple[ColumnElement[bool], ...]:
    """That a row was made from the first moment on and before the second: its id bounds it by an index."""
    return (
        table.c[at] >= days[0],
        table.c[at] < days[1],
        table.c.id >= least_id(days[0] - SLACK),
        table.c.id < least_id(days[1] + SLACK),
    )


def least_id(moment: datetime) -> UUID:
    """The least id that can have been made at this moment."""
    return UUID(int=max(0, int(moment.timestamp() * 1000)) << 80)
