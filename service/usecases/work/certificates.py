"""Certificates: issued once from the assessment, then only superseded or withdrawn."""

import hashlib
import json
import re
from collections.abc import Mapping
from typing import Any
from uuid import UUID

import rfc8785
from sqlalchemy import Connection, RowMapping
from uuid6 import uuid7

from service.documents.papers import certificate as document
from service.documents.pdf import signing
from service.errors import ConditionsUnmet, Conflict, NotKnown
from service.store import certificates, firms, jobs, photos, seals, series
from service.store.session import reveal
from service.usecases.base.context import Context, reads, writes
from service.usecases.base.json import to_json
from service.usecases.base.seals import chained, of_rows, seal
from service.usecases.firm import signing_keys
from service.usecases.work import rendering
from service.usecases.work.assessments import assessed
from service.usecases.work.jobs import found as found_job
from service.usecases.work.jobs import must_be_open
from service.usecases.work.records import printed, record_of

NUMBER = re.compile(r"[A-Z0-9]+-[0-9]{4}-[0-9]{5,}")


def issue(context: Context, job_id: UUID, signed_by: str) -> Mapping[str, Any]:
    """Freeze the record, then make its file. A crash in between leaves a record that still gets its file."""
    issued = _issue(context, job_id, signed_by)
    rendering.ahead(lambda: pdf(context, UUID(issued["id"])))
    return issued


@writes
def _issue(connection: Connection, context: Context, job_id: UUID, signed_by: str) -> Mapping[str, Any]:
    job = found_job(connection, context, job_id, lock=True)
    must_be_open(job)
    found = assessed(connection, job)
    if found.unmet:
        raise ConditionsUnmet(
            "The assessment has conditions that are not met.",
            [to_json(condition) for condition in found.unmet],
        )
    # Every other issue of this firm waits until this one is through: the chain has one end.
    firm = firms.by_id(connection, job["firm_id"], lock=True)
    end = certificates.chain_end(connection, job["firm_id"])
    numbered = _numbered(connection, context, firm, end)
    previous = certificates.latest_of_job(connection, job_id)
    seals.hold(connection, job["quote_id"])
    record = record_of(
        connection,
        job=job,
        firm=firm,
        found=found,
        number=numbered["number"],
        issued_at=context.now,
        signed_by=signed_by,
        ledger_sha256=seals.end(connection, job["quote_id"]),
        supersedes=previous["number"] if previous else None,
        verify_url=context.settings.public(f"/verify/{numbered['number']}"),
    )
    row = {
        "id": uuid7(),
        "firm_id": job["firm_id"],
        "job_id": job_id,
        "issued_at": context.now,
        "supersedes": previous["id"] if previous else None,
        **numbered,
        **_linked(end, rfc8785.dumps(to_json(record))),
    }
    certificates.add(connection, row)
    seal(connection, job["quote_id"], of_rows("certificate", [row]))
    jobs.set_state(connection, job_id, "certified")
    return _answer(_found(connection, context, row["id"]))


def _numbered(
    connection: Connection, context: Context, firm: RowMapping, end: RowMapping | None
) -> dict[str, Any]:
    """The next number of a firm whose row is locked."""
    # A request that waited over New Year must not number itself before those that went ahead.
    year = max(context.now.year, end["year"]) if end else context.now.year
    # A key that cannot be used is found before there is a record that cannot get its file.
    signing_keys.of(context.settings, firm["code"], context.now)
    serial = series.take(connection, firm_id=firm["id"], kind="certificate", year=year)
    return {"year": year, "serial": serial, "number": f"{firm['code'].upper()}-{year}-{serial:05d}"}


def _linked(end: RowMapping | None, record: bytes) -> dict[str, Any]:
    """A canonical record with its digest, joined to the end of the firm's chain."""
    digest = hashlib.sha256(record).hexdigest()
    previous = end["chain_sha256"] if end else certificates.NO_PREVIOUS
    return {
        "record": record,
        "record_sha256": digest,
        "previous_sha256": previous,
        "chain_sha256": chained(previous, digest),
    }


@reads
def listed(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job's certificates and what has become of them, in the order of issue."""
    found_job(connection, context, job_id)
    return {"items": [_answer(each) for each in certificates.listed(connection, job_id)]}


@reads
def read(connection: Connection, context: Context, certificate_id: UUID) -> Mapping[str, Any]:
    """A certificate and what has become of it."""
    return _answer(_found(connection, context, certificate_id))


def pdf(context: Context, certificate_id: UUID) -> Mapping[str, Any]:
    """The certificate's file: made of the frozen record and its client, signed, attached once."""
    frozen = _frozen(context, certificate_id)
    return rendering.made_once(
        context,
        "certificate",
        certificate_id,
        lambda: _made(context, frozen),
        client_of=UUID(frozen["quote_id"]),
    )


@reads
def _frozen(connection: Connection, context: Context, certificate_id: UUID) -> Mapping[str, Any]:
    certificate = _found(connection, context, certificate_id)
    job = found_job(connection, context, certificate["job_id"])
    record = bytes(certificate["record"])
    return {
        "firm_code": certificate["firm_code"],
        "quote_id": job["quote_id"],
        "job_id": job["id"],
        "record": record,
        "facts": printed(connection, job, json.loads(record)),
    }


def _made(context: Context, frozen: Mapping[str, Any]) -> bytes:
    key = signing_keys.of(context.settings, frozen["firm_code"], context.now)
    pictures = _pictures(context, UUID(frozen["job_id"]), frozen["facts"]["photos"])
    made = document.pdf(frozen["facts"], frozen["record"], pictures)
    return signing.signed(made, key) if key else made


@reads
def _pictures(
    connection: Connection, _context: Context, job_id: UUID, named: list[Mapping[str, Any]]
) -> dict[str, bytes | None]:
    contents = photos.contents(connection, job_id=job_id, ids=[UUID(photo["id"]) for photo in named])
    return {photo["sha256"]: contents[UUID(photo["id"])] for photo in named}


@writes
def withdraw(
    connection: Connection, context: Context, certificate_id: UUID, reason: str
) -> Mapping[str, Any]:
    """Withdraw a certificate; its record stays."""
    certificate = _found(connection, context, certificate_id)
    assert context.caller is not None
    row = {
        "certificate_id": certificate_id,
        "reason": reason,
        "withdrawn_at": context.now,
        "key_id": context.caller.key_id,
    }
    if not certificates.withdraw(connection, row):
        raise Conflict("The certificate is withdrawn already.")
    job = found_job(connection, context, certificate["job_id"])
    seal(connection, job["quote_id"], of_rows("withdrawal", [row]))
    return _answer(_found(connection, context, certificate_id))


@reads
def standing(connection: Connection, _context: Context, number: str) -> Mapping[str, Any]:
    """What the public may know of a number: whether it stands, and its file's digest."""
    firm_id = _firm_of_number(connection, number) if NUMBER.fullmatch(number) else None
    if firm_id is None:
        raise NotKnown("No certificate has this number.")
    reveal(connection, firm=firm_id)
    certificate = certificates.by_number(connection, number)
    assert certificate is not None
    return public_view(certificate)


def _firm_of_number(connection: Connection, number: str) -> UUID | None:
    reveal(connection, number=number)
    return certificates.firm_of_number(connection, number)


def public_view(certificate: RowMapping) -> dict[str, Any]:
    """A certificate without anything of the client: number, state, digests."""
    return {
        "number": certificate["number"],
        "state": state_of(certificate),
        "issued_at": certificate["issued_at"],
        "issued_by": certificate["firm"]["name"],
        "superseded_by": certificate["superseded_by"],
        "superseded_at": certificate["superseded_at"],
        "withdrawn_at": certificate["withdrawn_at"],
        "record_sha256": certificate["record_sha256"],
        "file_sha256": certificate["file_sha256"],
        "file_erased_at": certificate["file_erased_at"],
    }


def state_of(certificate: Mapping[str, Any]) -> str:
    """A certificate that was withdrawn stays so, whatever came after it."""
    if certificate["withdrawn_at"]:
        return "withdrawn"
    return "superseded" if certificate["superseded_by"] else "in_force"


def _found(connection: Connection, context: Context, certificate_id: UUID) -> RowMapping:
    certificate = certificates.by_id(connection, firm_id=context.firm_id, certificate_id=certificate_id)
    if certificate is None:
        raise NotKnown("There is no such certificate.")
    return certificate


def _answer(certificate: RowMapping) -> dict[str, Any]:
    names = (
        "id",
        "number",
        "job_id",
        "issued_at",
        "record_sha256",
        "chain_sha256",
        "superseded_by",
        "superseded_at",
        "withdrawn_at",
        "withdrawal_reason",
        "file_sha256",
        "file_erased_at",
    )
    return {**{name: certificate[name] for name in names}, "state": state_of(certificate)}
