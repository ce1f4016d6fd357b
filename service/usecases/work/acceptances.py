"""An offer becomes a job: its client accepts it on the link, or the office says who did and how."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import EventKind
from service.errors import Conflict, Erased, NotKnown
from service.store import acceptances, files, jobs, series, terms
from service.store.layout.quotes import BASE_OPTION
from service.store.row_types import Quote
from service.usecases.base.context import Context, writes
from service.usecases.base.events import EventData, tell
from service.usecases.base.seals import of_job, seal
from service.usecases.work import links
from service.usecases.work.accepted import Said, accepted_by, keep
from service.usecases.work.options import chosen
from service.usecases.work.quote_states import Versions, found, move, must_be, must_be_seen
from service.usecases.work.quotes import answer


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """What a client says who accepts: his name, the digest of the document shown to him, and his choice."""

    name: str
    document_sha256: str
    option: str | None = None


@writes
def by_office(
    connection: Connection,
    context: Context,
    quote_id: UUID,
    said: Mapping[str, str],
    seen: Versions | None = None,
) -> Mapping[str, Any]:
    """Turn an offer into a job as the client told the office; refused after its validity."""
    quote = found(connection, context, quote_id, lock=True)
    must_be(quote, context, "offered", "accepted")
    must_be_seen(quote, seen)
    document = files.digest_of(connection, kind="quote", owner_id=quote_id)
    told = Said(
        by="office",
        accepted_by=said["accepted_by"],
        how=said["how"],
        document_sha256=document,
        option=chosen(quote, said.get("option")),
    )
    _accept(connection, context, quote, told)
    return answer(connection, context, quote_id)


def by_client(context: Context, token: str, shown: Shown) -> Mapping[str, Any]:
    """What a link offers, accepted by whoever holds it; done twice it is done once."""
    target = links.target(context, token)
    if target["kind"] != "quote":
        raise NotKnown(message("links.not_open"))
    client = context.acting_for(UUID(target["firm_id"]), "client link")
    accepted: Mapping[str, Any] = _by_client(client, token, shown)
    return accepted


@writes
def _by_client(connection: Connection, context: Context, token: str, shown: Shown) -> Mapping[str, Any]:
    # Looked at anew: it may have been revoked since.
    link = links.in_force(connection, context, token)
    quote = found(connection, context, link["owner_id"], lock=True)
    if quote["client_erased_at"]:
        raise Erased(message("documents.erased", day=quote["client_erased_at"].date()))
    if quote["state"] == "accepted" and (there := acceptances.of(connection, quote["id"])):
        if shown.option != there["option"]:
            raise Conflict(message("quotes.other_option", option=there["option"] or BASE_OPTION))
        return accepted_by(there)
    must_be(quote, context, "offered", "accepted")
    _must_be_the_document(connection, quote["id"], shown.document_sha256)
    said = Said(
        by="client",
        accepted_by=shown.name,
        document_sha256=shown.document_sha256,
        option=chosen(quote, shown.option),
        link_id=link["id"],
    )
    return _accept(connection, context, quote, said)


def _must_be_the_document(connection: Connection, owner_id: UUID, shown: str) -> None:
    document = files.digest_of(connection, kind="quote", owner_id=owner_id)
    if document is None:
        raise Conflict(message("links.document_awaited"))
    if document != shown:
        raise Conflict(message("links.other_document"))


def _accept(connection: Connection, context: Context, quote: Quote, said: Said) -> Mapping[str, Any]:
    quote_id = quote["id"]
    move(connection, quote, state="accepted", accepted_at=context.now)
    kept = keep(connection, context, said, kind="quote", owner_id=quote_id, quote_id=quote_id)
    job_id = _open_job(connection, context, quote_id)
    told = EventData(state="accepted", quote_id=quote_id, job_id=job_id)
    tell(connection, context, EventKind.QUOTE_ACCEPTED, quote_id, told)
    return accepted_by(kept)


def _open_job(connection: Connection, context: Context, quote_id: UUID) -> UUID:
    year = context.now.year
    serial = series.take(connection, firm_id=context.firm_id, kind="job", year=year)
    job_id = uuid7()
    job = {
        "id": job_id,
        "firm_id": context.firm_id,
        "quote_id": quote_id,
        "number": f"J-{year}-{serial:04d}",
        "state": "open",
        "created_at": context.now,
    }
    jobs.add(connection, job)
    found_by = terms.of(connection, quote_id)
    terms.replace(connection, firm_id=context.firm_id, owner_id=job_id, terms=found_by)
    seal(connection, quote_id, of_job(job))
    return job_id
