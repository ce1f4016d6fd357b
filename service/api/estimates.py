"""Estimates before the survey: ranges, never an offer."""

from typing import Any

from schemas.estimates import EstimateBody, EstimateDraftBody
from schemas.quotes import Quote
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import version_tag
from service.engine.plan.estimate import Estimate
from service.usecases.work import bodies, estimates

blp = Blueprint(
    "estimates",
    __name__,
    url_prefix="/v1/estimates",
    description="What a building may take before it is surveyed.",
)


def _drafted(quote: Any) -> dict[str, str]:
    return {"Location": f"/v1/quotes/{quote['id']}", **version_tag(quote)}


@blp.route("", methods=["POST"])
@needs("sales", "office")
@blp.arguments(EstimateBody)
@blp.response(200, Estimate)
def create(body: bodies.EstimateBody) -> Any:
    """Kilograms, bags, hours and price as ranges, from areas and depths; nothing is stored."""
    return estimates.create(context(), body)


@blp.route("/drafts", methods=["POST"])
@needs("sales", "office")
@blp.arguments(EstimateDraftBody)
@blp.response(201, Quote, headers_of=_drafted)
def draft(body: bodies.EstimateDraftBody) -> Any:
    """Keep an estimate as a draft: it is offered only once each of its cavities was surveyed."""
    return estimates.draft(context(), body)
