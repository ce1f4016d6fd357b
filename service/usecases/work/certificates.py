"""Certificates: issued once from the assessment, then only superseded or withdrawn."""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.messages import message
from service.errors import ConditionsUnmet, Conflict, Fault, InvalidInput, NotKnown, Stale
from service.store import certificates, firms, seals, series
from service.store.row_types import ChainEnd, Firm, Standing, StandingHead, some
from service.usecases.base.canonical import canonical_bytes
from service.usecases.base.context import Context, reads, writes
from service.usecases.base.json import to_json
from service.usecases.base.outbox import queue
from service.usecases.base.seals import chained, of_rows, seal
from service.usecases.firm import signing_keys
from service.usecases.firm.signing_keys import Signature
from service.usecases.work import previews
from service.usecases.work.certificate_events import tell_of
from service.usecases.work.jobs import found as found_job
from service.usecases.work.jobs import must_be_open
from service.usecases.work.previews import Preview
from service.usecases.work.standings import state_of
from service.usecases.work.states import added_to_at, restate


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
    seals.hold(connection, job["quote_id"])
    # Every other issue of this firm waits until this one is through: the chain has one end.
    firm = firms.by_id(connection, job["firm_id"], lock=True)
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
    queue(connection, context, "certificate", row["id"])
    restate(connection, job)
    for gone in superseded:
        tell_of(connection, context, job, gone["certificate_id"], "superseded", superseded_by=row["id"])
    tell_of(connection, context, job, row["id"], "in_force")
    return _answer(connection, found(connection, context, row["id"]))


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
        **_linked(end, canonical_bytes(record)),
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
    previous = end["chain_sha256"] if end else seals.NO_PREVIOUS
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
    return {"items": [_answer(connection, each) for each in certificates.listed(connection, job_id)]}


@reads
def read(connection: Connection, context: Context, certificate_id: UUID) -> Mapping[str, Any]:
    """A certificate and what has become of it."""
    return _answer(connection, found(connection, context, certificate_id))


@writes
def withdraw(
    connection: Connection, context: Context, certificate_id: UUID, reason: str
) -> Mapping[str, Any]:
    """Withdraw a certificate; its record stays, and its parts have none until another is issued."""
    certificate = found(connection, context, certificate_id)
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
    tell_of(connection, context, job, certificate_id, "withdrawn")
    return _answer(connection, found(connection, context, certificate_id))


def found(connection: Connection, context: Context, certificate_id: UUID) -> Standing:
    """A certificate of the caller's firm; raises NotKnown."""
    certificate = certificates.by_id(connection, firm_id=context.firm_id, certificate_id=certificate_id)
    if certificate is None:
        raise NotKnown(message("certificates.not_known"))
    return certificate


def _answer(connection: Connection, certificate: StandingHead) -> dict[str, Any]:
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
        "added_to_at": added_to_at(connection, certificate),
    }
