"""Jobs: what is to be filled, as it was offered, and the crew's sheet."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.documents.papers import crew_sheet
from service.errors import Conflict, NotKnown
from service.store import jobs, quotes
from service.store.row_types import Job, Quote
from service.usecases.base.context import Context, reads, writes
from service.usecases.base.seals import of_closure, seal
from service.usecases.work import rendering
from service.usecases.work.quotes import facts_of


@reads
def read(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job with its cavities, quantities, methods, holes and hold points."""
    job = found(connection, context, job_id)
    return {**_facts(connection, job), **_head(job)}


@reads
def listed(connection: Connection, context: Context, limit: int, after: UUID | None) -> Mapping[str, Any]:
    """A page of jobs, newest first; `next` is the cursor of the page after it."""
    rows = jobs.page(connection, firm_id=context.firm_id, limit=limit + 1, before=after)
    return {
        "items": [_head(row) for row in rows[:limit]],
        "next": rows[limit - 1]["id"] if len(rows) > limit else None,
    }


@writes
def close(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """Close a job: nothing can be recorded or certified any more."""
    job = found(connection, context, job_id, lock=True)
    must_be_open(job)
    jobs.set_state(connection, job_id, "closed")
    seal(connection, job["quote_id"], of_closure(job))
    return _head({**job, "state": "closed"})


def must_be_open(job: Mapping[str, Any]) -> None:
    """Refuse what a closed job does not take any more."""
    if job["state"] == "closed":
        raise Conflict("The job is closed: nothing can be recorded or certified any more.")


def sheet(context: Context, job_id: UUID) -> Mapping[str, Any]:
    """The crew's sheet: made once, stored, and served as it is."""
    facts = _sheet_facts(context, job_id)
    return rendering.once(
        context, "crew_sheet", job_id, lambda: crew_sheet.pdf(facts), client_of=UUID(facts["quote_id"])
    )


@reads
def _sheet_facts(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    return _facts(connection, found(connection, context, job_id))


def found(connection: Connection, context: Context, job_id: UUID, *, lock: bool = False) -> Job:
    """The caller's job; raises NotKnown when there is none."""
    job = jobs.by_id(connection, firm_id=context.firm_id, job_id=job_id, lock=lock)
    if job is None:
        raise NotKnown("There is no such job.")
    return job


def quote_of(connection: Connection, job: Job) -> Quote:
    """The quote that a job came from."""
    quote = quotes.by_id(connection, firm_id=job["firm_id"], quote_id=job["quote_id"])
    assert quote is not None
    return quote


def _facts(connection: Connection, job: Job) -> dict[str, Any]:
    facts = facts_of(connection, quote_of(connection, job))
    return {
        **facts,
        "quote_id": job["quote_id"],
        "job_number": job["number"],
        "quote_number": facts["number"],
        "created_at": job["created_at"],
    }


def _head(job: Mapping[str, Any]) -> dict[str, Any]:
    return {name: job[name] for name in ("id", "number", "state", "quote_id", "created_at")}
