"""Jobs: what the crew is to do, what it did, and what follows from it."""

from typing import Any
from uuid import UUID

from schemas.assessments import Assessment
from schemas.entries import Batch, EntryQuery, Ledger
from schemas.jobs import Job, JobHead, JobQuery, JobWorking
from schemas.takeoffs import WorkingQuery
from service.api import idempotency
from service.api.answering import as_kept
from service.api.auth import context, context_once
from service.api.blueprint import Blueprint, needs
from service.api.conditional import archived, awaited, pdf
from service.api.paging import next_link
from service.usecases.keeping import archives
from service.usecases.work import assessments, entries, job_list, jobs
from service.usecases.work.finding import Known

blp = Blueprint("jobs", __name__, url_prefix="/v1/jobs", description="Accepted offers and the work on site.")


# Who reads what a crew works by: everybody of the firm, and the crew by its link.
AT_WORK = ("sales", "installer", "signatory", "office", "crew")


@blp.route("", methods=["GET"])
@needs(*AT_WORK)
@blp.arguments(JobQuery, location="query")
@blp.response(200, job_list.JobPage, headers_of=next_link)
def listed(query: dict[str, Any]) -> Any:
    """A page of jobs, newest first; a crew's link is answered its own of a day either side."""
    limit, after = query.pop("limit"), query.pop("after", None)
    of_a_day = {name: query.pop(name) for name in ("day", "crew", "state") if name in query}
    return job_list.listed(context(), job_list.Wanted(**of_a_day, known=Known(**query)), limit, after)


@blp.route("/<uuid:job_id>", methods=["GET"])
@needs(*AT_WORK)
@blp.response(200, Job)
def read(job_id: UUID) -> Any:
    """A job in short: head, totals, and one line a part; its price for sales and office."""
    return as_kept(jobs.read(context(), job_id))


@blp.route("/<uuid:job_id>/working", methods=["GET"])
@needs(*AT_WORK)
@blp.arguments(WorkingQuery, location="query")
@blp.response(200, JobWorking)
def working(query: dict[str, Any], job_id: UUID) -> Any:
    """The full working of a job's parts, or of one of them."""
    return jobs.working(context(), job_id, query.get("cavity"))


@blp.route("/<uuid:job_id>/document", methods=["GET"])
@needs(*AT_WORK)
@blp.answers_document()
def document(job_id: UUID) -> Any:
    """The crew's sheet as PDF, the stored bytes; 202 while it is being made, for the first who asks."""
    return pdf(jobs.file(context(), job_id))


@blp.route("/<uuid:job_id>/archive", methods=["GET"])
@needs("office")
@blp.answers_document("application/zip")
def archive(job_id: UUID) -> Any:
    """Everything of a job in one ZIP file: rows, records, documents, photos, and a manifest of digests.

    202 while one of its documents is being made.
    """
    waits_for = archives.awaited(context(), job_id)
    return awaited(waits_for) if waits_for else archived(*archives.of_job(context(), job_id))


@blp.route("/<uuid:job_id>/entries", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("installer", "office", "crew")
@blp.arguments(Batch)
@blp.response(201, Ledger)
def record(body: dict[str, Any], job_id: UUID) -> Any:
    """Record a batch of site entries, all or none; send an Idempotency-Key."""
    return entries.add(context_once(), job_id, body["entries"])


@blp.route("/<uuid:job_id>/entries", methods=["GET"])
@needs(*AT_WORK)
@blp.arguments(EntryQuery, location="query")
@blp.response(200, Ledger)
def ledger(query: dict[str, Any], job_id: UUID) -> Any:
    """Everything that was recorded, corrections and corrected entries alike, in the order of commit."""
    return entries.listed(context(), job_id, after=query.get("after", 0))


@blp.route("/<uuid:job_id>/assessment", methods=["GET"])
@needs(*AT_WORK)
@blp.response(200, Assessment)
def assessment(job_id: UUID) -> Any:
    """Densities, conformity, stock, patches, hold points, and what still stands in the way."""
    return assessments.read(context(), job_id)


@blp.route("/<uuid:job_id>/closure", methods=["POST"])
@needs("office")
@blp.response(200, JobHead)
def close(job_id: UUID) -> Any:
    """Close a job: nothing can be recorded or certified any more."""
    return jobs.close(context(), job_id)
