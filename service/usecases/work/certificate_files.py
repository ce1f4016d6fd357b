"""A certificate's file: made of its frozen record by a worker, signed, and stored once."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import orjson
from sqlalchemy import Connection

from service.documents.papers import certificate as document
from service.documents.pdf.signing import signed
from service.usecases.base.context import Context, loads
from service.usecases.firm import signing_keys
from service.usecases.firm.signing_keys import Signature, Signing
from service.usecases.work import previews, rendering
from service.usecases.work.certificates import found
from service.usecases.work.jobs import found as found_job
from service.usecases.work.records import printed


@loads
def record(connection: Connection, context: Context, certificate_id: UUID) -> bytes:
    """The canonical record of a certificate, as it was issued."""
    return bytes(found(connection, context, certificate_id)["record"])


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
    return found_job(connection, context, found(connection, context, certificate_id)["job_id"])["quote_id"]


@loads
def _frozen(connection: Connection, context: Context, certificate_id: UUID) -> Frozen:
    certificate = found(connection, context, certificate_id)
    job = found_job(connection, context, certificate["job_id"])
    record = bytes(certificate["record"])
    return Frozen(
        firm_code=certificate["firm_code"],
        firm=certificate["firm"],
        job_id=job["id"],
        record=record,
        facts=printed(connection, job, orjson.loads(record)),
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
