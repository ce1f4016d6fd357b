"""Everything that was issued of one quote, as the database has it now, held against how it was sealed."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.store import (
    acceptances,
    certificates,
    clients,
    concessions,
    crews,
    entries,
    files,
    jobs,
    photos,
    quotes,
    seals,
)
from service.store.row_types import Acceptance, Certificate, Client, File, Job, Photo, Quote, Seal
from service.usecases.base.seals import (
    chained,
    digest,
    of_closure,
    of_erasure,
    of_job,
    of_offer,
    of_rows,
    of_supersession,
    of_withdrawal,
)
from service.usecases.work.clients import digest as client_digest
from service.usecases.work.clients import place_of
from service.usecases.work.states import state_of


@dataclass(slots=True, kw_only=True)
class Found:
    """What was looked at, and a sentence for each thing found wrong."""

    certificates: int = 0
    files: int = 0
    faults: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """The rows of a quote and of what became of it."""

    quote: Quote
    client: Client
    acceptances: list[Acceptance]
    job: Job | None
    certificates: list[Certificate]
    seals: list[Seal]

    @property
    def owners(self) -> list[UUID]:
        """Whose files are this quote's."""
        job = [self.job["id"]] if self.job else []
        return [self.quote["id"], *job, *(row["id"] for row in self.certificates)]


def examine(connection: Connection, *, firm_id: UUID, quote_id: UUID) -> Found:
    """Hold a quote, its job, ledger, certificates, files and photos against their digests and seals."""
    found = Found()
    try:
        _examine(connection, firm_id, quote_id, found)
    except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
        # A value that was put there by hand need not be one that can be read at all.
        found.faults.append(f"Quote {quote_id}: something of it cannot be read.")
    return found


def _examine(connection: Connection, firm_id: UUID, quote_id: UUID, found: Found) -> None:
    quote = quotes.by_id(connection, firm_id=firm_id, quote_id=quote_id)
    if quote is None:
        found.faults.append(f"Quote {quote_id}: the row of its client was removed.")
        return
    job = jobs.of_quote(connection, quote_id)
    rows = _Rows(
        quote=quote,
        client=clients.of_quote(connection, quote_id),
        acceptances=acceptances.of_quote(connection, quote_id),
        job=job,
        certificates=certificates.of_job(connection, job["id"]) if job else [],
        seals=seals.of_quote(connection, quote_id),
    )
    found.certificates = len(rows.certificates)
    name = f"Quote {quote['number'] or quote_id}"
    for fault in _faults(connection, rows, found):
        found.faults.append(f"{name}: {fault}")


def _faults(connection: Connection, rows: _Rows, found: Found) -> Iterator[str]:
    yield from _state_faults(rows)
    yield from _job_faults(connection, rows)
    yield from _client_faults(rows.client)
    yield from _acceptance_faults(rows)
    yield from _certificate_faults(rows)
    issued = dict(_issued(connection, rows))
    for file in files.of_owners(connection, rows.owners):
        found.files += 1
        issued |= of_rows("file", [file])
        yield from _content_faults(file, f"{file['kind']} file", rows)
    if rows.job:
        for photo in photos.whole(connection, rows.job["id"]):
            found.files += 1
            issued |= of_rows("photo", [photo])
            yield from _content_faults(photo, f"photo {photo['id']}", rows)
            yield from _place_faults(photo, rows.client)
    yield from _seal_faults(issued, rows)


def _issued(connection: Connection, rows: _Rows) -> Iterator[tuple[tuple[str, str], Any]]:
    """Everything but files and photos, which are read one by one."""
    if rows.quote["number"]:
        yield from of_offer(rows.quote, quotes.cavities_of(connection, rows.quote["id"])).items()
        if rows.quote["withdrawn_at"]:
            yield from of_withdrawal(rows.quote).items()
        if rows.quote["superseded_at"]:
            yield from of_supersession(rows.quote).items()
        if rows.client["erased_at"]:
            yield from of_erasure(rows.client).items()
    yield from of_rows("acceptance", rows.acceptances).items()
    if rows.job:
        job_id = rows.job["id"]
        yield from of_job(rows.job).items()
        if rows.job["state"] == "closed":
            yield from of_closure(rows.job).items()
        yield from of_rows("assignment", crews.assignments_of(connection, job_id)).items()
        yield from of_rows("entry", entries.of_job(connection, job_id)).items()
        yield from of_rows("concession", concessions.of_job(connection, job_id)).items()
        yield from of_rows("certificate", rows.certificates).items()
        yield from of_rows("supersession", certificates.supersessions_of_job(connection, job_id)).items()
        yield from of_rows("withdrawal", certificates.withdrawals_of_job(connection, job_id)).items()


def _seal_faults(issued: dict[tuple[str, str], Any], rows: _Rows) -> Iterator[str]:
    end = seals.NO_PREVIOUS
    for position, seal in enumerate(rows.seals, start=1):
        if seal["position"] != position or seal["chain_sha256"] != chained(end, seal["sha256"]):
            yield f"its chain is broken at seal {seal['position']}: it or one before it is not as it was."
        end = seal["chain_sha256"]
        content = issued.pop((seal["kind"], seal["subject"]), None)
        if content is None:
            yield f"the {_words(seal['kind'])} {seal['subject']} was removed."
        elif digest(content) != seal["sha256"]:
            yield f"the {_words(seal['kind'])} {seal['subject']} was altered."
    if len(rows.seals) != rows.quote["sealed"]:
        yield f"it has {len(rows.seals)} seals and should have {rows.quote['sealed']}."
    for kind, subject in issued:
        yield f"the {_words(kind)} {subject} was never sealed: it did not come through the service."


def _words(kind: str) -> str:
    return kind.replace("_", " ")


def _state_faults(rows: _Rows) -> Iterator[str]:
    should = "draft"
    if rows.quote["number"]:
        should = "accepted" if rows.job else "offered"
    if rows.quote["withdrawn_at"]:
        should = "withdrawn"
    if rows.quote["superseded_at"]:
        should = "superseded"
    if rows.quote["state"] != should:
        yield f"its state is {rows.quote['state']} and should be {should}."


def _job_faults(connection: Connection, rows: _Rows) -> Iterator[str]:
    if rows.job is None:
        return
    found = state_of(connection, rows.job)
    if rows.job["state"] != found.state:
        yield f"the state of its job is {rows.job['state']} and should be {found.state}."
    if rows.job["moved_on_at"] != found.moved_on_at:
        yield "the time at which the ledger of its job moved on is not the one of the entry."


def _client_faults(client: Client) -> Iterator[str]:
    salt, data = client["salt"], client["data"]
    if salt is not None and client_digest(salt, data) != client["sha256"]:
        yield "its client's data were altered."


def _acceptance_faults(rows: _Rows) -> Iterator[str]:
    for row in rows.acceptances:
        salt, subject = row["salt"], f"{row['kind']} {row['owner_id']}"
        if salt is not None and client_digest(salt, row["data"]) != row["sha256"]:
            yield f"who accepted the {subject} was altered."
        if row["erased_at"] != rows.client["erased_at"]:
            yield f"who accepted the {subject} was not erased with its client's data, or without it."
    whose = {row["owner_id"]: row["accepted_at"] for row in rows.acceptances}
    if rows.quote["accepted_at"] != whose.get(rows.quote["id"]):
        yield "the time of its acceptance is not the one that was kept."


def _certificate_faults(rows: _Rows) -> Iterator[str]:
    chain = {seal["position"]: seal for seal in rows.seals}
    before = {
        seal["subject"]: chain[seal["position"] - 1]["chain_sha256"]
        for seal in rows.seals
        if seal["kind"] == "certificate" and seal["position"] - 1 in chain
    }
    for row in rows.certificates:
        content = bytes(row["record"])
        if hashlib.sha256(content).hexdigest() != row["record_sha256"]:
            yield f"the record of certificate {row['number']} is not the one that was issued."
            continue
        record = json.loads(content)
        if record["outcome"] != row["outcome"]:
            yield f"the outcome of certificate {row['number']} is not the one of its record."
        if record["client_sha256"] != rows.client["sha256"]:
            yield f"certificate {row['number']} was issued for another client."
        if record["ledger_sha256"] != before.get(str(row["id"])):
            yield f"certificate {row['number']} was issued on another ledger than the one that is here."


def _content_faults(row: File | Photo, name: str, rows: _Rows) -> Iterator[str]:
    if row["content"] is None:
        if row["erased_at"] != rows.client["erased_at"]:
            yield f"the {name} was erased, and not with its client's data."
    elif rows.client["erased_at"]:
        yield f"the {name} was not erased with its client's data."
    elif hashlib.sha256(bytes(row["content"])).hexdigest() != row["sha256"]:
        yield f"the {name} is not the one that was stored."


def _place_faults(photo: Photo, client: Client) -> Iterator[str]:
    salt, latitude, longitude = client["salt"], photo["latitude"], photo["longitude"]
    if salt is None:
        return
    expected = None
    if latitude is not None and longitude is not None:
        expected = client_digest(salt, place_of(str(photo["id"]), latitude, longitude))
    if photo["place_sha256"] != expected:
        yield f"the place of photo {photo['id']} was altered."
