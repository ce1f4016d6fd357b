"""A client and the supplements of his job: read, accepted and refused by the link to his quote."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Conflict, Erased, NotKnown
from service.store import acceptances, clients, files, jobs
from service.store.row_types import Job
from service.usecases.base.context import Context, reads, writes
from service.usecases.work import links, supplement_offers, supplement_papers
from service.usecases.work.acceptances import Shown
from service.usecases.work.accepted import Declined, Said, accepted_by, refused_by
from service.usecases.work.jobs import must_be_open
from service.usecases.work.rendering import Awaited

NOT_OPEN = message("links.not_open")


def accept(context: Context, token: str, supplement_id: UUID, shown: Shown) -> Mapping[str, Any]:
    """A supplement that was offered, accepted by whoever holds the link; done twice it is done once."""
    accepted: Mapping[str, Any] = _accept(_client(context, token), token, supplement_id, shown)
    return accepted


def refuse(
    context: Context, token: str, supplement_id: UUID, shown: Shown, reason: str | None
) -> Mapping[str, Any]:
    """A supplement that was offered, refused by whoever holds the link; done twice it is done once."""
    refused: Mapping[str, Any] = _refuse(_client(context, token), token, supplement_id, shown, reason)
    return refused


def file(context: Context, token: str, supplement_id: UUID) -> Mapping[str, Any] | Awaited:
    """The document of a supplement that was offered, or what it waits for."""
    client = _client(context, token)
    return supplement_papers.file(client, UUID(_job_id(client, token, supplement_id)), supplement_id)


def _client(context: Context, token: str) -> Context:
    target = links.target(context, token)
    if target["kind"] != "quote":
        raise NotKnown(NOT_OPEN)
    return context.acting_for(UUID(target["firm_id"]), "client link")


@writes
def _accept(
    connection: Connection, context: Context, token: str, supplement_id: UUID, shown: Shown
) -> Mapping[str, Any]:
    # Looked at anew: it may have been revoked since.
    link = links.in_force(connection, context, token)
    job = _job(connection, link["owner_id"], lock=True)
    held = supplement_offers.held(connection, job, supplement_id)
    named = _offered(held)
    if held.it.is_accepted and (there := acceptances.of(connection, named)):
        return accepted_by(there)
    must_be_open(job)
    supplement_offers.must_be_acceptable(held.it, held.agreements, context)
    _must_be_the_document(connection, named, shown.document_sha256)
    said = Said(
        by="client", accepted_by=shown.name, document_sha256=shown.document_sha256, link_id=link["id"]
    )
    return supplement_offers.accepted(connection, context, job, held.it, said)


@writes
def _refuse(
    connection: Connection,
    context: Context,
    token: str,
    supplement_id: UUID,
    shown: Shown,
    reason: str | None,
) -> Mapping[str, Any]:
    link = links.in_force(connection, context, token)
    job = _job(connection, link["owner_id"], lock=True)
    held = supplement_offers.held(connection, job, supplement_id)
    named = _offered(held)
    if held.it.is_refused and (there := acceptances.of(connection, named)):
        return refused_by(there)
    must_be_open(job)
    supplement_offers.must_be_offered(held.it, "refused")
    _must_be_the_document(connection, named, shown.document_sha256)
    said = Declined(
        refused_by=shown.name,
        reason=reason,
        document_sha256=shown.document_sha256,
        link_id=link["id"],
    )
    return supplement_offers.declined(connection, context, held, said)


@reads
def _job_id(connection: Connection, context: Context, token: str, supplement_id: UUID) -> UUID:
    job = _job(connection, links.in_force(connection, context, token)["owner_id"])
    _offered(supplement_offers.held(connection, job, supplement_id))
    return job["id"]


def _job(connection: Connection, quote_id: UUID, *, lock: bool = False) -> Job:
    job = jobs.of_quote(connection, quote_id, lock=lock)
    if job is None:
        raise NotKnown(NOT_OPEN)
    if erased_at := clients.of_quote(connection, quote_id)["erased_at"]:
        raise Erased(message("documents.erased", day=erased_at.date()))
    return job


def _offered(held: supplement_offers.Held) -> UUID:
    """Which offer of it stands; raises NotKnown for what was never offered to the client."""
    offer = held.it.last("offer")
    if offer is None:
        raise NotKnown(NOT_OPEN)
    return offer["id"]


def _must_be_the_document(connection: Connection, offer_id: UUID, shown: str) -> None:
    document = files.digest_of(connection, kind="supplement", owner_id=offer_id)
    if document is None:
        raise Conflict(message("links.document_awaited"))
    if document != shown:
        raise Conflict(message("links.other_document"))
