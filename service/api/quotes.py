"""Quotes: from a draft to an offer, and from an offer to a job."""

from typing import Any
from uuid import UUID

from schemas.quotes import (
    CopyBody,
    ErasureBody,
    Quote,
    QuoteAcceptanceBody,
    QuoteBody,
    QuotePage,
    QuoteQuery,
    QuoteWorking,
    QuoteWorkingQuery,
    RevisionQuery,
)
from service.api import idempotency
from service.api.answering import as_kept
from service.api.auth import context, context_once
from service.api.blueprint import Blueprint, needs
from service.api.conditional import (
    IF_MATCH,
    MISSING,
    STALE,
    pdf,
    version_tag,
    versions_named,
    versions_seen,
)
from service.api.paging import next_link
from service.api.survey_files import takes_survey
from service.usecases.work import (
    acceptances,
    bodies,
    drafts,
    erasures,
    offers,
    quote_papers,
    quotes,
    revisions,
)
from service.usecases.work.finding import Known

blp = Blueprint(
    "quotes", __name__, url_prefix="/v1/quotes", description="Priced quotes and what becomes of them."
)


def _created(quote: Any) -> dict[str, str]:
    return {"Location": f"/v1/quotes/{quote['id']}", **version_tag(quote)}


def _accepted(quote: Any) -> dict[str, str]:
    return {"Location": f"/v1/jobs/{quote['job_id']}", **version_tag(quote)}


@blp.route("", methods=["POST"])
@takes_survey
@needs("sales", "office")
@blp.arguments(QuoteBody)
@blp.response(201, Quote, headers_of=_created)
def create(body: bodies.QuoteBody) -> Any:
    """Work out a building and keep it as a draft; it may come as a spreadsheet."""
    return drafts.create(context(), body)


@blp.route("", methods=["GET"])
@needs("sales", "office")
@blp.arguments(QuoteQuery, location="query")
@blp.response(200, QuotePage)
def listed(query: dict[str, Any]) -> Any:
    """A page of quotes, newest first."""
    state, limit, after = query.pop("state", None), query.pop("limit"), query.pop("after", None)
    page = quotes.listed(context(), state, limit, after, Known(**query))
    return as_kept({"items": page["items"]}, next_link(page))


@blp.route("/<uuid:quote_id>", methods=["GET"])
@needs("sales", "office")
@blp.arguments(RevisionQuery, location="query")
@blp.response(200, Quote, headers_of=version_tag)
def read(_query: dict[str, Any], quote_id: UUID) -> Any:
    """A quote in short: head, price, totals, and one line a cavity.

    By its number it is the latest revision that was offered, or the one that is named.
    """
    quote = quotes.read(context(), quote_id)
    return as_kept(quote, version_tag(quote))


@blp.route("/<uuid:quote_id>/working", methods=["GET"])
@needs("sales", "office")
@blp.arguments(QuoteWorkingQuery, location="query")
@blp.response(200, QuoteWorking, headers_of=version_tag)
def working(query: dict[str, Any], quote_id: UUID) -> Any:
    """A quote with the full working of its cavities, or of one of them; of an option, where one is named."""
    return quotes.working(context(), quote_id, query.get("cavity"), query.get("option"))


@blp.route("/<uuid:quote_id>", methods=["PUT"])
@blp.doc(parameters=[{**IF_MATCH, "required": True}], responses={**STALE, **MISSING})
@takes_survey
@needs("sales", "office")
@blp.arguments(QuoteBody)
@blp.response(200, Quote, headers_of=version_tag)
def change(body: bodies.QuoteBody, quote_id: UUID) -> Any:
    """Put another building in the place of a draft's; send If-Match."""
    return drafts.change(context(), quote_id, versions_named(), body)


@blp.route("/<uuid:quote_id>/offer", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs("sales", "office")
@blp.response(200, Quote, headers_of=version_tag)
def offer(quote_id: UUID) -> Any:
    """Freeze quantities, price and validity; give the number and the document."""
    return offers.offer(context(), quote_id, versions_seen())


@blp.route("/<uuid:quote_id>/revisions", methods=["POST"])
@needs("sales", "office")
@blp.response(201, Quote, headers_of=_created)
def revise(quote_id: UUID) -> Any:
    """Draft a revision of an offer: once it is offered, it has the same number and supersedes that one."""
    return revisions.revise(context(), quote_id)


@blp.route("/<uuid:quote_id>/copies", methods=["POST"])
@needs("sales", "office")
@blp.arguments(CopyBody)
@blp.response(201, Quote, headers_of=_created)
def copy(body: dict[str, Any], quote_id: UUID) -> Any:
    """Draft a quote of the same building under another reference, by what is in force today."""
    return revisions.copy(context(), quote_id, body["reference"])


@blp.route("/<uuid:quote_id>/acceptance", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs("sales", "office")
@blp.arguments(QuoteAcceptanceBody)
@blp.response(201, Quote, headers_of=_accepted)
def accept(body: dict[str, Any], quote_id: UUID) -> Any:
    """The client told the office that he accepts: the offer becomes a job; refused after its validity."""
    return acceptances.by_office(context(), quote_id, body, versions_seen())


@blp.route("/<uuid:quote_id>/withdrawal", methods=["POST"])
@blp.doc(parameters=[IF_MATCH], responses=STALE)
@needs("sales", "office")
@blp.response(200, Quote, headers_of=version_tag)
def withdraw(quote_id: UUID) -> Any:
    """Take back a quote that was not accepted."""
    return offers.withdraw(context(), quote_id, versions_seen())


@blp.route("/<uuid:quote_id>/erasure", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("office")
@blp.arguments(ErasureBody)
@blp.response(200, Quote, headers_of=version_tag)
def erase(body: dict[str, Any], quote_id: UUID) -> Any:
    """Erase the client's personal data, with documents and photos; send an Idempotency-Key.

    The reason stays: it must not name the client. Refused while the offer or the job is open.
    """
    return erasures.erase(context_once(), quote_id, body["reason"])


@blp.route("/<uuid:quote_id>/document", methods=["GET"])
@needs("sales", "office")
@blp.arguments(RevisionQuery, location="query")
@blp.answers_document()
def document(_query: dict[str, Any], quote_id: UUID) -> Any:
    """The offer as PDF, the stored bytes, 202 while it is being made; of a draft one marked as a draft."""
    return pdf(quote_papers.file(context(), quote_id))
