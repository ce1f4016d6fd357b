"""Erasing a client's personal data when the law asks for it, without touching what was issued.

What goes: the client's name, mail and address with the salt of their digest, and who accepted; the
documents, which print them; the photos and where they were taken; kept answers
that name the quote, a photo or a supplement. Objects outside the database are deleted by a worker
afterwards (`usecases/keeping/erased_objects.py`). What stays: quantities, prices, the ledger, every record,
every digest. Free text that the firm's people wrote stays too.
"""

from collections.abc import Iterator, Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Conflict
from service.store import (
    acceptances,
    answers,
    certificates,
    clients,
    files,
    jobs,
    photos,
    quotes,
    supplements,
    terms,
)
from service.store.contents import lie_outside, objects_of
from service.store.row_types import Job, Quote
from service.store.session import forget
from service.usecases.base.context import Context, writes
from service.usecases.base.outbox import queue
from service.usecases.base.seals import of_closure, of_erasure, seal
from service.usecases.work.quote_states import found, state_on
from service.usecases.work.quotes import answer

OBJECTS = "erased_objects"
"""The kind of the task that deletes what lies outside."""
ERASABLE = ("draft", "withdrawn", "superseded", "lapsed")


def erase(context: Context, quote_id: UUID, reason: str) -> Mapping[str, Any]:
    """Erase the client of a quote, of its job and of its certificates; raises Conflict while work goes on."""
    erased: Mapping[str, Any] = _erase(context, quote_id, reason)
    forget(context.database)
    return erased


@writes
def _erase(connection: Connection, context: Context, quote_id: UUID, reason: str) -> Mapping[str, Any]:
    found(connection, context, quote_id)
    # All are held before the first is sealed: whoever seals holds the firm from then on.
    for job, quote in list(_revisions(connection, context, quote_id)):
        if quote["id"] == quote_id or not quote["client_erased_at"]:
            _erase_one(connection, context, quote, job, reason)
    return answer(connection, context, quote_id)


def _revisions(
    connection: Connection, context: Context, quote_id: UUID | None
) -> Iterator[tuple[Job | None, Quote]]:
    """A quote and those that it took the place of, which name the same client; each held, its job first."""
    while quote_id and quotes.by_id(connection, firm_id=context.firm_id, quote_id=quote_id):
        job = jobs.of_quote(connection, quote_id, lock=True)
        quote = found(connection, context, quote_id, lock=True)
        yield job, quote
        quote_id = quote["revises"]


def _erase_one(connection: Connection, context: Context, quote: Quote, job: Job | None, reason: str) -> None:
    quote_id = quote["id"]
    _must_be_over(quote, job, context)
    assert context.caller is not None
    caller = context.caller.key_id
    if not clients.erase(connection, quote_id, reason=reason, key_id=caller, now=context.now):
        raise Conflict(message("erasures.done_already"))
    _erase_with_it(connection, context, quote_id, job)
    if quote["state"] == "draft":
        withdrawn = {"state": "withdrawn", "withdrawn_at": context.now, "updated_at": context.now}
        quotes.update(connection, quote_id, withdrawn)
    if job and job["state"] != "closed":
        jobs.set_state(connection, job["id"], "closed", moved_on_at=job["moved_on_at"])
        seal(connection, quote_id, of_closure(job))
    if quote["number"]:
        seal(connection, quote_id, of_erasure(clients.of_quote(connection, quote_id)))


def _must_be_over(quote: Quote, job: Job | None, context: Context) -> None:
    state = state_on(quote, context.now.date())
    if state == "offered":
        raise Conflict(message("erasures.offer_open"))
    if state not in ERASABLE and (job is None or job["state"] == "open"):
        raise Conflict(message("erasures.job_open"))


def _erase_with_it(connection: Connection, context: Context, quote_id: UUID, job: Job | None) -> None:
    owners, names = owners_of(connection, quote_id), [str(quote_id)]
    acceptances.erase(connection, quote_id, context.now)
    if objects_of(connection) or lie_outside(connection, owners):
        queue(connection, context, OBJECTS, quote_id)
    if job:
        names += [str(row["id"]) for row in photos.of_job(connection, job["id"])]
        names += [str(row["id"]) for row in supplements.of_jobs(connection, [job["id"]])]
        photos.erase(connection, job["id"], context.now)
    files.erase(connection, owners, context.now)
    terms.erase(connection, owners)
    answers.forget(connection, names)


def owners_of(connection: Connection, quote_id: UUID) -> list[UUID]:
    """Whose files and photos are a quote's: its own, its job's, those of certificates and supplements."""
    job = jobs.of_quote(connection, quote_id)
    if job is None:
        return [quote_id]
    steps = supplements.steps_of(connection, [job["id"]])
    return [quote_id, job["id"], *certificates.ids_of(connection, job["id"]), *(row["id"] for row in steps)]
