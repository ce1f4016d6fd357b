"""Quotes and jobs by what is known of them, newest first: as quick among a million as among a thousand.

One word leads, the one that is rarest as a rule: its index has the ids in their order, so that a page is
read from it and no more. Ids are UUIDs of version 7, which begin with their time (RFC 9562, 5.7): days
bound them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from sqlalchemy import ColumnElement, Select, Table, exists, select

from service.store.tables import search_terms
from service.store.terms import Term

LAST = "\U0010ffff"
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


ANY = Sought()
Days = tuple[datetime, datetime]


def newest_first(
    statement: Select[Any], table: Table, *, firm_id: UUID, sought: Sought, before: UUID | None, limit: int
) -> Select[Any]:
    """The rows of `table` in a statement that are sought: up to `limit`, older than `before`."""
    statement = statement.where(table.c.firm_id == firm_id)
    ids = table.c.id
    terms = sorted(sought.terms, key=_rarity)
    if terms:
        first = search_terms.alias("first")
        statement = statement.join(first, first.c.owner_id == table.c.id)
        statement = statement.where(first.c.firm_id == firm_id, *_is(first, terms[0]))
        ids = first.c.owner_id
    for term in terms[1:]:
        other = search_terms.alias()
        statement = statement.where(exists().where(other.c.owner_id == ids, *_is(other, term)))
    for begin in sought.begins:
        statement = statement.where(ids.in_(_beginning(firm_id, begin)))
    if sought.number is not None:
        statement = statement.where(table.c.number == sought.number)
    if sought.since:
        statement = statement.where(table.c.created_at >= sought.since, ids >= least_id(sought.since - SLACK))
    if sought.until:
        statement = statement.where(table.c.created_at < sought.until, ids < least_id(sought.until + SLACK))
    if before:
        statement = statement.where(ids < before)
    return statement.order_by(ids.desc()).limit(limit)


def _rarity(term: Term) -> tuple[bool, int]:
    """The long ones before the short ones, and numbers last: every street has a house of that number."""
    return term[1].isdigit(), -len(term[1])


def _is(terms: Any, term: Term) -> tuple[Any, Any]:
    return terms.c.kind == term[0], terms.c.term == term[1]


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
