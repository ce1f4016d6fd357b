"""Certificates: issued once from the assessment, then only superseded or withdrawn."""

import hashlib
import json
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import rfc8785
from sqlalchemy import Connection
from uuid6 import uuid7

from service.documents.papers import certificate as document
from service.documents.pdf.signing import signed
from service.engine.ground.messages import message
from service.errors import ConditionsUnmet, Conflict, Fault, InvalidInput, NotKnown, Stale
from service.store import certificates, entries, firms, seals, series
from service.store.row_types import ChainEnd, Entry, Firm, Standing, StandingHead, some
from service.store.session import reveal
from service.usecases.base.context import Context, loads, reads, writes
from service.usecases.base.json import to_json
from service.usecases.base.seals import chained, of_rows, seal
from service.usecases.firm import signing_keys
from service.usecases.firm.signing_keys import Signature, Signing
from service.usecases.work import previews, rendering
from service.usecases.work.jobs import found as found_job
from service.usecases.work.jobs import must_be_open
from service.usecases.work.previews import Preview
from service.usecases.work.records import printed
from service.usecases.work.states import added_to_at, restate

NUMBER = re.compile(r"[A-Z0-9]+-[0-9]{4}-[0-9]{5,}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A certificate that is asked for: who signs, for which parts (all, where none are named).

    `seen` are the tags of the previews that the signatory read.
    """

    signed_by: str
    parts: Sequence[str] | None
    seen: Collection[str]


def issue(context: Context, job_id: UUID, wanted: Wanted) -> Mapping[str, Any]:
    """Freeze the record; a worker makes its file.

    What it says is worked out before the transaction. Raises Stale where that is not what was
    seen, or not what is there any more; ConditionsUnmet where something stands in the way.
    """
    preview = previews.of_job(context, job_id, wanted.parts)
    if preview.tag not in wanted.seen:
        raise Stale(message("certificates.not_what_was_seen"))
    if wanted.signed_by != previews.signatory(context):
        raise InvalidInput(Fault("/signed_by", message("certificates.signs_as_another")))
    if preview.found.unmet:
        raise ConditionsUnmet(message("certificates.unmet"), to_json(list(preview.found.unmet)))
    issued: Mapping[str, Any] = _issue(context, job_id, preview)
    return issued


@writes
def _issue(connection: Connection, context: Context, job_id: UUID, preview: Preview) -> Mapping[str, Any]:
    job = found_job(connection, context, job_id, lock=True)
    must_be_open(job)
    # Every other issue of this firm waits until this one is through: the chain has one end.
    firm = firms.by_id(connection, job["firm_id"], lock=True)
    seals.hold(connection, job["quote_id"])
    if previews.rests_on(connection, job) != preview.sight.rests_on:
        raise Stale(message("certificates.not_what_was_seen"))
    end = certificates.chain_end(connection, job["firm_id"])
    # A key that cannot be used is found before there is a record that cannot get its file.
    signing = signing_keys.by(context.settings, firm["code"], firm["data"], context.now)
    stated = {
        "signature": signing.kind if signing else Signature.NONE,
        "ledger_sha256": seals.end(connection, job["quote_id"]),
    }
    row = _row(context, preview, _numbered(connection, context, firm), end, stated)
    superseded = [{"certificate_id": each["id"], "superseded_by": row["id"]} for each in preview.supersedes]
    certificates.add(connection, row)
    certificates.supersede(connection, superseded)
    issued = {**of_rows("certificate", [row]), **of_rows("supersession", superseded)}
    seal(connection, job["quote_id"], issued)
    rendering.queue(connection, context, "certificate", row["id"])
    restate(connection, job)
    return _answer(connection, _found(connection, context, row["id"]))


def _row(
    context: Context,
    preview: Preview,
    numbered: Mapping[str, Any],
    end: ChainEnd | None,
    stated: Mapping[str, Any],
) -> dict[str, Any]:
    """The row of a certificate: the record that was seen, with its number, time and signature."""
    assert context.caller is not None
    record = {
        **preview.record,
        **stated,
        "number": numbered["number"],
        "issued_at": context.now,
        "signed_by": previews.signatory(context),
        "supersedes": [row["number"] for row in preview.supersedes],
        "verify_url": context.settings.public(f"/verify/{numbered['number']}"),
    }
    return {
        "id": uuid7(),
        "firm_id": preview.sight.job["firm_id"],
        "job_id": preview.sight.job["id"],
        "issued_at": context.now,
        "ledger_position": preview.sight.rests_on["entries"],
        "outcome": preview.record["outcome"],
        "key_id": context.caller.key_id,
        **numbered,
        **_linked(end, rfc8785.dumps(to_json(record))),
    }


def _numbered(connection: Connection, context: Context, firm: Firm) -> dict[str, Any]:
    """The next number of a firm whose row is locked."""
    # Of this clock and no other: one that ran ahead once fixes nothing. The order is the chain's.
    year = context.now.year
    serial = series.take(connection, firm_id=firm["id"], kind="certificate", year=year)
    return {"year": year, "serial": serial, "number": f"{firm['code'].upper()}-{year}-{serial:05d}"}


def _linked(end: ChainEnd | None, record: bytes) -> dict[str, Any]:
    """A canonical record with its digest, joined to the end of the firm's chain."""
    digest = hashlib.sha256(record).hexdigest()
    previous = end["chain_sha256"] if end else certificates.NO_PREVIOUS
    return {
        "position": end["position"] + 1 if end else 1,
        "record": record,
        "record_sha256": digest,
        "previous_sha256": previous,
        "chain_sha256": chained(previous, digest),
    }


@reads
def listed(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job's certificates and what has become of them, in the order of issue."""
    found_job(connection, context, job_id)
    ledger = entries.of_job(connection, job_id)
    return {"items": [_answer_by(each, ledger) for each in certificates.listed(connection, job_id)]}


@reads
def read(connection: Connection, context: Context, certificate_id: UUID) -> Mapping[str, Any]:
    """A certificate and what has become of it."""
    return _answer(connection, _found(connection, context, certificate_id))


@loads
def record(connection: Connection, context: Context, certificate_id: UUID) -> bytes:
    """The canonical record of a certificate, as it was issued."""
    return bytes(_found(connection, context, certificate_id)["record"])


@dataclass(frozen=True, slots=True, kw_only=True)
class Frozen:
    """A certificate as it was issued: its canonical record, and what its file shows besides."""

    firm_code: str
    firm: Mapping[str, Any]
    job_id: UUID
    record: bytes
    facts: dict[str, Any]


def file(context: Context, certificate_id: UUID) -> Mapping[str, Any] | rendering.Awaited:
    """The certificate's file as it is stored, or what it waits for."""
    quote_id = _quote_of(context, certificate_id)
    return rendering.asked_for(context, "certificate", certificate_id, client_of=quote_id)


def pdf(context: Context, certificate_id: UUID) -> Mapping[str, Any]:
    """The file: made of the frozen record and its client, signed, stored once; a worker's to call."""
    return rendering.made_once(
        context,
        "certificate",
        certificate_id,
        lambda: _made(context, certificate_id),
        client_of=_quote_of(context, certificate_id),
    )


@loads
def _quote_of(connection: Connection, context: Context, certificate_id: UUID) -> UUID:
    return found_job(connection, context, _found(connection, context, certificate_id)["job_id"])["quote_id"]


@loads
def _frozen(connection: Connection, context: Context, certificate_id: UUID) -> Frozen:
    certificate = _found(connection, context, certificate_id)
    job = found_job(connection, context, certificate["job_id"])
    record = bytes(certificate["record"])
    return Frozen(
        firm_code=certificate["firm_code"],
        firm=certificate["firm"],
        job_id=job["id"],
        record=record,
        facts=to_json(printed(connection, job, json.loads(record))),
    )


def _made(context: Context, certificate_id: UUID) -> bytes:
    signing, certificate, pictures = _written(context, certificate_id)
    made = document.printed(certificate, pictures)
    return signed(made, signing.key, signing.stamped) if signing else made


def _written(
    context: Context, certificate_id: UUID
) -> tuple[Signing | None, document.Written, Mapping[str, bytes]]:
    """All that is printed. Its record, which may be large, is let go of: printing takes room enough."""
    frozen = _frozen(context, certificate_id)
    pictures = previews.taken_pictures(context, frozen.job_id, frozen.facts["photos"])
    said = Signature(frozen.facts["signature"])
    signing = signing_keys.as_issued(context.settings, frozen.firm_code, frozen.firm, said, context.now)
    return signing, document.written(frozen.facts, frozen.record), pictures


@writes
def withdraw(
    connection: Connection, context: Context, certificate_id: UUID, reason: str
) -> Mapping[str, Any]:
    """Withdraw a certificate; its record stays, and its parts have none until another is issued."""
    certificate = _found(connection, context, certificate_id)
    job = found_job(connection, context, certificate["job_id"], lock=True)
    assert context.caller is not None
    row = {
        "certificate_id": certificate_id,
        "reason": reason,
        "withdrawn_at": context.now,
        "key_id": context.caller.key_id,
    }
    if not certificates.withdraw(connection, row):
        raise Conflict(message("certificates.withdrawn_already"))
    seal(connection, job["quote_id"], of_rows("withdrawal", [row]))
    restate(connection, job)
    return _answer(connection, _found(connection, context, certificate_id))


@reads
def standing(connection: Connection, _context: Context, number: str) -> Mapping[str, Any]:
    """What the public may know of a number: whether it stands, its file's digest and how that is signed."""
    firm_id = _firm_of_number(connection, number) if NUMBER.fullmatch(number) else None
    if firm_id is None:
        raise NotKnown(message("certificates.no_such_number"))
    reveal(connection, firm=firm_id)
    certificate = certificates.by_number(connection, number)
    assert certificate is not None
    zone = certificate["firm"].get("time_zone")
    signature = json.loads(bytes(certificate["record"]))["signature"]
    return {**public_view(connection, certificate), "signature": signature, "time_zone": zone or "UTC"}


def _firm_of_number(connection: Connection, number: str) -> UUID | None:
    reveal(connection, number=number)
    return certificates.firm_of_number(connection, number)


def public_view(connection: Connection, certificate: StandingHead) -> dict[str, Any]:
    """A certificate without anything of the client: number, state, outcome, digests."""
    return {
        "added_to_at": added_to_at(certificate, entries.of_job(connection, certificate["job_id"])),
        "number": certificate["number"],
        "state": state_of(certificate),
        "issued_at": certificate["issued_at"],
        "issued_by": certificate["firm"]["name"],
        "superseded_by": certificate["superseded_by"],
        "superseded_at": certificate["superseded_at"],
        "withdrawn_at": certificate["withdrawn_at"],
        "outcome": certificate["outcome"],
        "record_sha256": certificate["record_sha256"],
        "file_sha256": certificate["file_sha256"],
        "file_erased_at": certificate["file_erased_at"],
    }


def state_of(certificate: Mapping[str, Any]) -> str:
    """A certificate that was withdrawn stays so, whatever came after it."""
    if certificate["withdrawn_at"]:
        return "withdrawn"
    return "superseded" if certificate["superseded_by"] else "in_force"


def _found(connection: Connection, context: Context, certificate_id: UUID) -> Standing:
    certificate = certificates.by_id(connection, firm_id=context.firm_id, certificate_id=certificate_id)
    if certificate is None:
        raise NotKnown(message("certificates.not_known"))
    return certificate


def _answer(connection: Connection, certificate: StandingHead) -> dict[str, Any]:
    return _answer_by(certificate, entries.of_job(connection, certificate["job_id"]))


def _answer_by(certificate: StandingHead, ledger: Sequence[Entry]) -> dict[str, Any]:
    names = (
        "id",
        "number",
        "job_id",
        "issued_at",
        "outcome",
        "record_sha256",
        "chain_sha256",
        "superseded_by",
        "superseded_at",
        "withdrawn_at",
        "withdrawal_reason",
        "file_sha256",
        "file_erased_at",
    )
    return {
        **some(certificate, names),
        "state": state_of(certificate),
        "added_to_at": added_to_at(certificate, ledger),
    }
