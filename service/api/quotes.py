"""Quotes: from a draft to an offer, and from an offer to a job."""

from typing import Any
from uuid import UUID

from schemas.quotes import Quote, QuoteBody, QuotePage, QuoteQuery
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import pdf, version_seen, version_tag
from service.api.paging import next_link
from service.usecases import quotes

blp = Blueprint(
    "quotes", __name__, url_prefix="/v1/quotes", description="Priced quotes and what becomes of them."
)


def _created(quote: Any) -> Any:
    return quote, {"Location": f"/v1/quotes/{quote['id']}", **version_tag(quote)}


@blp.route("", methods=["POST"])
@needs("sales", "office")
@blp.arguments(QuoteBody)
@blp.response(201, Quote)
def create(body: dict[str, Any]) -> Any:
    """Work out a building and keep it as a draft."""
    return _created(quotes.create(context(), body))


@blp.route("", methods=["GET"])
@needs("sales", "office")
@blp.arguments(QuoteQuery, location="query")
@blp.response(200, QuotePage)
def listed(query: dict[str, Any]) -> Any:
    """A page of quotes, newest first."""
    page = quotes.listed(context(), query.get("state"), query["limit"], query.get("after"))
    return page, next_link(page)


@blp.route("/<uuid:quote_id>", methods=["GET"])
@needs("sales", "office")
@blp.response(200, Quote)
def read(quote_id: UUID) -> Any:
    """A quote with all that was worked out for it."""
    quote = quotes.read(context(), quote_id)
    return quote, version_tag(quote)


@blp.route("/<uuid:quote_id>", methods=["PUT"])
@needs("sales", "office")
@blp.arguments(QuoteBody)
@blp.response(200, Quote)
def change(body: dict[str, Any], quote_id: UUID) -> Any:
    """Put another building in the place of a draft's; send If-Match."""
    quote = quotes.change(context(), quote_id, version_seen(), body)
    return quote, version_tag(quote)


@blp.route("/<uuid:quote_id>/offer", methods=["POST"])
@needs("sales", "office")
@blp.response(200, Quote)
def offer(quote_id: UUID) -> Any:
    """Freeze quantities, price and validity; give the number and the document."""
    quote = quotes.offer(context(), quote_id)
    return quote, version_tag(quote)


@blp.route("/<uuid:quote_id>/acceptance", methods=["POST"])
@needs("sales", "office")
@blp.response(201, Quote)
def accept(quote_id: UUID) -> Any:
    """The offer becomes a job; refused after its validity."""
    quote = quotes.accept(context(), quote_id)
    return quote, {"Location": f"/v1/jobs/{quote['job_id']}", **version_tag(quote)}


@blp.route("/<uuid:quote_id>/withdrawal", methods=["POST"])
@needs("sales", "office")
@blp.response(200, Quote)
def withdraw(quote_id: UUID) -> Any:
    """Take back a quote that was not accepted."""
    quote = quotes.withdraw(context(), quote_id)
    return quote, version_tag(quote)


@blp.route("/<uuid:quote_id>/document", methods=["GET"])
@needs("sales", "office")
@blp.response(200, content_type="application/pdf", schema={"type": "string", "format": "binary"})
def document(quote_id: UUID) -> Any:
    """The offer as PDF, the stored bytes."""
    return pdf(quotes.pdf(context(), quote_id), "quote")
