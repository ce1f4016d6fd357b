"""The journal of a firm: one chain of digests over all that it issued and all that this rests on.

Where the seals of a quote end is noted whenever something is sealed; a row of the firm, its crews,
keys, links, dated data, imports and anchors whenever it is made or changed. The newest note of a thing tells
how it must be now. Who takes something away, and sets everything back that counts it, takes it from
the middle of this chain.
"""

import hashlib
from collections.abc import Collection, Mapping
from typing import Any
from uuid import UUID

import rfc8785
from sqlalchemy import Connection, Table

from service.store import dated, journal, tables
from service.store.seals import NO_PREVIOUS
from service.usecases.base.json import to_json

QUOTE = "quote"
KEPT: Mapping[str, Table] = {
    "firm": tables.firms,
    "crew": tables.crews,
    "key": tables.keys,
    "link": tables.links,
    "import": tables.imports,
    "anchor": tables.anchors,
    **dated.TABLES,
}
"""The tables whose rows are noted, by their kind."""
NOT_NOTED: Mapping[str, Collection[str]] = {"key": {"last_used_at"}}
"""What changes and is nothing that anybody said."""


def hold(connection: Connection, firm_id: UUID) -> None:
    """Let nobody else note anything of a firm until this transaction ends, nor do what begins with this.

    It is for what is looked at and then changed, where there is no row yet that could be locked.
    """
    journal.hold(connection, firm_id)


def note(connection: Connection, firm_id: UUID, kind: str, subject_id: UUID) -> None:
    """Note a row as it is now: after it was added, and after each change."""
    row = journal.row_of(connection, KEPT[kind], subject_id)
    _add(connection, firm_id, kind, subject_id, of_row(kind, row))


def note_quote(connection: Connection, firm_id: UUID, quote_id: UUID, *, count: int, end: str) -> None:
    """Note where the seals of a quote end now."""
    _add(connection, firm_id, QUOTE, quote_id, of_quote(quote_id, count, end))


def of_row(kind: str, row: Mapping[str, Any]) -> str:
    """The digest of a row."""
    return _digest({name: value for name, value in row.items() if name not in NOT_NOTED.get(kind, ())})


def of_quote(quote_id: UUID, count: int, end: str) -> str:
    """The digest of where the seals of a quote end."""
    return _digest({"id": quote_id, "count": count, "chain_sha256": end})


def chained(previous: str, *, kind: str, subject_id: UUID, sha256: str) -> str:
    """The journal's digest after a note: it covers what the note is of, and every note before it."""
    return hashlib.sha256(f"{previous}\n{kind} {subject_id} {sha256}".encode()).hexdigest()


def _digest(content: Mapping[str, Any]) -> str:
    return hashlib.sha256(rfc8785.dumps(to_json(content))).hexdigest()


def _add(connection: Connection, firm_id: UUID, kind: str, subject_id: UUID, sha256: str) -> None:
    journal.hold(connection, firm_id)
    end = journal.end(connection, firm_id)
    previous = end["chain_sha256"] if end else NO_PREVIOUS
    journal.add(
        connection,
        {
            "firm_id": firm_id,
            "position": end["position"] + 1 if end else 1,
            "kind": kind,
            "subject_id": subject_id,
            "sha256": sha256,
            "chain_sha256": chained(previous, kind=kind, subject_id=subject_id, sha256=sha256),
        },
    )
