"""What quotes and jobs are found by, word by word: references, clients, places, labels.

It repeats what stands elsewhere, so that a search reads an index and no row that it does not answer.
"""

from collections.abc import Collection, Iterable
from uuid import UUID

from sqlalchemy import Connection, Select, select

from service.store.tables import search_terms

PERSONAL = ("client", "place")
"""Kinds that say who a client is: they go with an erasure."""

Term = tuple[str, str]


def replace(connection: Connection, *, firm_id: UUID, owner_id: UUID, terms: Iterable[Term]) -> None:
    """Let a quote or job be found by these kinds and words, and by no others."""
    connection.execute(search_terms.delete().where(search_terms.c.owner_id == owner_id))
    add(connection, firm_id=firm_id, owner_id=owner_id, terms=terms)


def add(connection: Connection, *, firm_id: UUID, owner_id: UUID, terms: Iterable[Term]) -> None:
    """Let a quote or job that is new be found by these kinds and words."""
    rows = [
        {"firm_id": firm_id, "owner_id": owner_id, "kind": kind, "term": term}
        for kind, term in dict.fromkeys(terms)
    ]
    if rows:
        connection.execute(search_terms.insert(), rows)


def erase(connection: Connection, owners: Collection[UUID]) -> None:
    """Let these no longer be found by who the client is."""
    connection.execute(
        search_terms.delete().where(search_terms.c.owner_id.in_(owners), search_terms.c.kind.in_(PERSONAL))
    )


def of(connection: Connection, owner_id: UUID) -> list[Term]:
    """What a quote or job is found by."""
    statement = select(search_terms.c.kind, search_terms.c.term).where(search_terms.c.owner_id == owner_id)
    return [(row.kind, row.term) for row in connection.execute(statement)]


def owners(firm_id: UUID, kind: str, term: str) -> Select[tuple[UUID]]:
    """The ids of what a firm has under this word."""
    return select(search_terms.c.owner_id).where(
        search_terms.c.firm_id == firm_id, search_terms.c.kind == kind, search_terms.c.term == term
    )
