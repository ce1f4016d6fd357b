"""Takeoffs: quantities, plan, density windows, U-values and price of a posted building."""

from typing import Any

from schemas.takeoffs import TakeoffBody, TakeoffQuery
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.survey_files import takes_survey
from service.engine.plan.lines import ShortTakeoff
from service.usecases.work import bodies, takeoffs

blp = Blueprint(
    "takeoffs",
    __name__,
    stores=False,
    url_prefix="/v1/takeoffs",
    description="What a building takes; nothing is stored.",
)


@blp.route("", methods=["POST"])
@takes_survey
@needs("sales", "office")
@blp.arguments(TakeoffQuery, location="query")
@blp.arguments(TakeoffBody)
@blp.response(200, ShortTakeoff | takeoffs.TakeoffAnswer)
def create(query: dict[str, Any], body: bodies.TakeoffBody) -> Any:
    """Work out a building: in short, or with the full working."""
    return takeoffs.create(context(), body, working=query["working"])
