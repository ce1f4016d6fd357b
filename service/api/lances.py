"""Lances: the contractor's own."""

from typing import Any

from schemas.lances import Lance, LanceBody, Lances
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import lances

blp = Blueprint("lances", __name__, url_prefix="/v1/lances", description="The lances of the firm.")


@blp.route("", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.response(200, Lances)
def listed() -> Any:
    """The lances in use."""
    return lances.listed(context())


@blp.route("/<code:code>", methods=["PUT"])
@needs("office")
@blp.arguments(LanceBody)
@blp.response(200, Lance)
def put(body: dict[str, Any], code: str) -> Any:
    """Add a lance, or measure one anew."""
    return lances.put(context(), code, body)
