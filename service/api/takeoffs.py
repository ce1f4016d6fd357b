"""Takeoffs: quantities, plan, density windows, U-values and price of a posted building."""

from typing import Any

from schemas.takeoffs import TakeoffBody
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.work import bodies, takeoffs

blp = Blueprint(
    "takeoffs",
    __name__,
    stores=False,
    url_prefix="/v1/takeoffs",
    description="What a building takes; nothing is stored.",
)


@blp.route("", methods=["POST"])
@needs("sales", "office")
@blp.arguments(TakeoffBody)
@blp.response(200, takeoffs.TakeoffAnswer)
def create(body: bodies.TakeoffBody) -> Any:
    """Work out a building."""
    return takeoffs.create(context(), body)
