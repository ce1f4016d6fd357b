"""Seals: what is issued goes into a chain of digests, one for each quote and all that becomes of it.

A seal is the SHA-256 of a thing's canonical JSON (RFC 8785). The chain's digest
covers a seal and every one before it, and each certificate's record holds that
digest. Where the chain ends now is noted in the journal of the firm. What may be
erased is not sealed itself, but a digest of it is.
"""

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, Table

from service.store import seals, tables
from service.store.row_types import Seal
from service.usecases.base import journal
from service.usecases.base.canonical import canonical

OFFERED = (
    "id",
    "firm_id",
    "number",
    "revision",
    "revises",
    "reference",
    "body",
    "basis",
    "summary",
    "short",
    "short_singly",
    "currency",
    "total",
    "client_sha256",
    "created_at",
    "offered_at",
    "valid_until",
)
JOB = ("id", "firm_id", "quote_id", "number", "created_at")
ERASED = ("sha256", "erased_at", "reason", "key_id")

ROWS: Mapping[str, Table] = {
    "acceptance": tables.acceptances,
    "assignment": tables.assignments,
    "entry": tables.entries,
    "concession": tables.concessions,
    "supplement_step": tables.supplement_steps,
    "photo": tables.photos,
    "certificate": tables.certificates,
    "supersession": tables.supersessions,
    "withdrawal": tables.withdrawals,
    "file": tables.files,
}
SUBJECTS = {
    "acceptance": "owner_id",
    "supersession": "certificate_id",
    "withdrawal": "certificate_id",
    "file": "owner_id",
}
COVERED_BY_A_DIGEST = {"content", "object_key", "size_bytes", "record", "latitude", "longitude", "erased_at"}
PERSONAL = {"acceptance": {"data", "salt"}}
"""Columns of a kind that are erased with the client: a digest covers them."""

Contents = Mapping[tuple[str, str], Mapping[str, Any]]
"""What is sealed, by its kind and the name of the one thing of that kind."""


def seal(connection: Connection, quote_id: UUID, contents: Contents) -> None:
    """Add to a quote's chain, in this order, what was just issued."""
    firm_id, position = seals.take(connection, quote_id, len(contents))
    end = seals.end(connection, quote_id)
    rows: list[Seal] = []
    for (kind, subject), content in contents.items():
        sha256 = digest(content)
        end = chained(end, sha256)
        rows.append(
            {
                "quote_id": quote_id,
                "position": position + len(rows),
                "kind": kind,
                "subject": subject,
                "sha256": sha256,
                "chain_sha256": end,
            }
        )
    seals.add_all(connection, rows)
    journal.note_quote(connection, firm_id, quote_id, count=rows[-1]["position"], end=end)


def digest(content: Mapping[str, Any]) -> str:
    """The digest of something that is issued."""
    found = hashlib.sha256()
    for some in canonical(content):
        found.update(some)
    return found.hexdigest()


def chained(previous: str, sha256: str) -> str:
    """The chain's digest after a digest: it covers this one and everything before it."""
    return hashlib.sha256(f"{previous}\n{sha256}".encode()).hexdigest()


def of_rows(kind: str, rows: Iterable[Mapping[Any, Any]]) -> Contents:
    """Rows that are only ever added to."""
    table, subject = ROWS[kind], SUBJECTS.get(kind, "id")
    without = COVERED_BY_A_DIGEST | PERSONAL.get(kind, set())
    # A column's name may carry a mark, and is no key of JSON then.
    sealed = [str(column.name) for column in table.c if column.name not in without]
    # An owner has a file of each kind.
    return {
        (f"{row['kind']}_file" if kind == "file" else kind, str(row[subject])): {
            name: row[name] for name in sealed
        }
        for row in rows
    }


def of_offer(
    quote: Mapping[str, Any], cavities: Iterable[Mapping[str, Any]], options: Iterable[Mapping[str, Any]]
) -> Contents:
    """A quote as it was offered, with its options and the cavities of each."""
    offered = {name: quote[name] for name in OFFERED}
    rows = {"cavities": [dict(row) for row in cavities], "options": [dict(row) for row in options]}
    return {("offer", str(quote["id"])): {**offered, **rows}}


def of_supplement(supplement: Mapping[str, Any], cavities: Iterable[Mapping[str, Any]]) -> Contents:
    """A supplement as it was proposed, with its cavities."""
    proposed = {str(name.name): supplement[name.name] for name in tables.supplements.c}
    return {("supplement", str(supplement["id"])): {**proposed, "cavities": [dict(row) for row in cavities]}}


def of_job(job: Mapping[str, Any]) -> Contents:
    """The job that an offer became."""
    return {("job", str(job["id"])): {name: job[name] for name in JOB}}


def of_withdrawal(quote: Mapping[str, Any]) -> Contents:
    """An offer that was taken back."""
    return {("offer_withdrawal", str(quote["id"])): {"withdrawn_at": quote["withdrawn_at"]}}


def of_supersession(quote: Mapping[str, Any]) -> Contents:
    """An offer that a later one took the place of."""
    gone = {name: quote[name] for name in ("superseded_at", "superseded_by")}
    return {("offer_supersession", str(quote["id"])): gone}


def of_closure(job: Mapping[str, Any]) -> Contents:
    """A job that was closed."""
    return {("closure", str(job["id"])): {"id": job["id"], "state": "closed"}}


def of_erasure(client: Mapping[str, Any]) -> Contents:
    """A client whose personal data was erased."""
    return {("erasure", str(client["quote_id"])): {name: client[name] for name in ERASED}}
