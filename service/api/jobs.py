"""Jobs: what the crew is to do, what it did, and what follows from it."""

from typing import Any
from uuid import UUID

from schemas.assessments import Assessment

from schemas.certificates import Certificate, IssueBody
from schemas.deviations import Deviation, DeviationBody
from schemas.entries import Batch, Ledger
from schemas.jobs import Job, JobHead, JobPage, JobQuery
from service.api.auth import context, context_once
from service.api.blueprint import Blueprint, needs
from service.api.conditional import pdf
from service.api.paging import next_link
from service.usecases import assessments, certificates, entries, jobs

blp = Blueprint("jobs", __name__, url_prefix="/v1/jobs", description="Accepted offers and the work on site.")


@blp.route("", methods=["GET"])
@needs("sales", "installer", "office")
@blp.arguments(JobQuery, location="query")
@blp.response(200, JobPage)
def listed(query: dict[str, Any]) -> Any:
    """A page of jobs, newest first."""
    page = jobs.listed(context(), query["limit"], query.get("after"))
    return page, next_link(page)


@blp.route("/<uuid:job_id>", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, Job)
def read(job_id: UUID) -> Any:
    """A job with its cavities, quantities, methods, holes and hold points."""
    return jobs.read(context(), job_id)


@blp.route("/<uuid:job_id>/document", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, content_type="application/pdf", schema={"type": "string", "format": "binary"})
def document(job_id: UUID) -> Any:
    """The crew's sheet as PDF, the stored bytes."""
    return pdf(jobs.sheet(context(), job_id), "crew-sheet")


@blp.route("/<uuid:job_id>/entries", methods=["POST"])
@needs("installer", "office")
@blp.arguments(Batch)
@blp.response(201, Ledger)
def record(body: dict[str, Any], job_id: UUID) -> Any:
    """Record a batch of site entries, all or none; send an Idempotency-Key."""
    return entries.add(context_once(), job_id, body["entries"])


@blp.route("/<uuid:job_id>/entries", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, Ledger)
def ledger(job_id: UUID) -> Any:
    """Everything that was recorded, corrections and corrected entries alike."""
    return entries.listed(context(), job_id)


@blp.route("/<uuid:job_id>/assessment", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, Assessment)
def assessment(job_id: UUID) -> Any:
    """Densities, conformity, stock, patches, hold points, and what still stands in the way."""
    return assessments.read(context(), job_id)


@blp.route("/<uuid:job_id>/deviations", methods=["POST"])
@needs("office")
@blp.arguments(DeviationBody)
@blp.response(201, Deviation)
def deviate(body: dict[str, Any], job_id: UUID) -> Any:
    """Let a condition stand, with a reason that the certificate prints."""
    return assessments.deviate(context(), job_id, body)


@blp.route("/<uuid:job_id>/closure", methods=["POST"])
@needs("office")
@blp.response(200, JobHead)
def close(job_id: UUID) -> Any:
    """Close a job: nothing can be recorded or certified any more."""
    return jobs.close(context(), job_id)


@blp.route("/<uuid:job_id>/certificates", methods=["POST"])
@needs("signatory")
@blp.arguments(IssueBody)
@blp.response(201, Certificate)
def issue(body: dict[str, Any], job_id: UUID) -> Any:
    """Issue the certificate, or learn every unmet condition; send an Idempotency-Key."""
    issued = certificates.issue(context_once(), job_id, body["signed_by"])
    return issued, {"Location": f"/v1/certificates/{issued['id']}"}
