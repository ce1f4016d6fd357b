"""Build-ups: the firm's library, so that nobody types the same layers twice."""

from typing import Any

from schemas.build_ups import BuildUp, BuildUpBody, BuildUps
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import build_ups

blp = Blueprint(
    "build_ups", __name__, url_prefix="/v1/build-ups", description="The firm's build-ups, by version."
)


@blp.route("", methods=["GET"])
@needs("sales", "office")
@blp.response(200, BuildUps)
def listed() -> Any:
    """Every version, oldest first."""
    return build_ups.listed(context())


@blp.route("/<code:code>", methods=["PUT"])
@needs("office")
@blp.arguments(BuildUpBody)
@blp.response(200, BuildUp)
def put(body: dict[str, Any], code: str) -> Any:
    """Add a version, in force from a day; older ones stay, and quotes keep the layers that they took over."""
    return build_ups.put(context(), code, body)
