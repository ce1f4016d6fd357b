"""Supplements: proposed on site, priced by the office, accepted by the client."""

from typing import Any
from uuid import UUID

from schemas.quotes import AcceptanceBody
from schemas.supplements import ReasonBody, SupplementBody, TakeoverBody, TermsBody
from service.api import idempotency
from service.api.auth import context, context_once
from service.api.blueprint import Blueprint, needs
from service.api.conditional import IF_MATCH, STALE, pdf, version_tag, versions_seen
from service.usecases.work import bodies, supplement_offers, supplement_papers, supplements
from service.usecases.work.supplement_answers import SupplementAnswer, Supplements
from service.usecases.work.supplement_offers import Terms

blp = Blueprint(
    "supplements",
    __name__,
    url_prefix="/v1/jobs/<uuid:job_id>/supplements",
    description="What came up on the way.",
)
AT_WORK = ("sales", "installer", "signatory", "office", "crew")
ON_SITE = ("sales", "installer", "office", "crew")
ONE = "/<uuid:supplement_id>"


@blp.route("", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs(*ON_SITE)
@blp.arguments(SupplementBody)
@blp.response(201, SupplementAnswer, headers_of=version_tag)
def propose(body: bodies.SupplementBody, job_id: UUID) -> Any:
    """Propose what came up on the way; its parts can be recorded of at once. Send an Idempotency-Key."""
    return supplements.propose(context_once(), job_id, body)


@blp.route("", methods=["GET"])
@needs(*AT_WORK)
@blp.response(200, Supplements)
def listed(job_id: UUID) -> Any:
    """A job's supplements and how far they have come; their prices for sales and office."""
    return supplements.listed(context(), job_id)


@blp.route(ONE, methods=["GET"])
@needs(*AT_WORK)
@blp.response(200, SupplementAnswer, headers_of=version_tag)
def read(job_id: UUID, supplement_id: UUID) -> Any:
    """A supplement; its price for sales and office."""
    return supplements.read(context(), job_id, supplement_id)


@blp.route(f"{ONE}/offer", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs("sales", "office")
@blp.arguments(TermsBody)
@blp.response(200, SupplementAnswer, headers_of=version_tag)
def offer(body: dict[str, Any], job_id: UUID, supplement_id: UUID) -> Any:
    """Price it and offer it, or offer it anew: the job with it less the job before, by the quote's basis."""
    return supplement_offers.offer(context(), job_id, supplement_id, Terms(**body), versions_seen())


@blp.route(f"{ONE}/acceptance", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs("sales", "office")
@blp.arguments(AcceptanceBody)
@blp.response(200, SupplementAnswer, headers_of=version_tag)
def accept(body: dict[str, Any], job_id: UUID, supplement_id: UUID) -> Any:
    """The client accepts it, as he told the office; refused after its validity."""
    return supplement_offers.accept(context(), job_id, supplement_id, body, versions_seen())


@blp.route(f"{ONE}/refusal", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs("sales", "office")
@blp.arguments(ReasonBody)
@blp.response(200, SupplementAnswer, headers_of=version_tag)
def refuse(body: dict[str, Any], job_id: UUID, supplement_id: UUID) -> Any:
    """The client refuses it; what was filled of it is certified only where the office takes it over."""
    return supplement_offers.refuse(context(), job_id, supplement_id, body.get("reason"), versions_seen())


@blp.route(f"{ONE}/withdrawal", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs(*ON_SITE)
@blp.arguments(ReasonBody)
@blp.response(200, SupplementAnswer, headers_of=version_tag)
def withdraw(body: dict[str, Any], job_id: UUID, supplement_id: UUID) -> Any:
    """Take it back before it is accepted; who is on site only before it is offered."""
    return supplement_offers.withdraw(context(), job_id, supplement_id, body.get("reason"), versions_seen())


@blp.route(f"{ONE}/takeover", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs("office")
@blp.arguments(TakeoverBody)
@blp.response(200, SupplementAnswer, headers_of=version_tag)
def take_over(body: dict[str, Any], job_id: UUID, supplement_id: UUID) -> Any:
    """Let its parts be certified that the client has not accepted, with a reason that is printed."""
    return supplement_offers.take_over(context(), job_id, supplement_id, body, versions_seen())


@blp.route(f"{ONE}/document", methods=["GET"])
@needs("sales", "office")
@blp.answers_document()
def document(job_id: UUID, supplement_id: UUID) -> Any:
    """Its last offer as PDF, the stored bytes; 202 while it is being made."""
    return pdf(supplement_papers.file(context(), job_id, supplement_id))
