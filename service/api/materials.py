"""Materials: dated versions of their data sheets."""

from typing import Any

from schemas.materials import Material, MaterialBody, Materials
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import materials

blp = Blueprint("materials", __name__, url_prefix="/v1/materials", description="Data sheets, by version.")


@blp.route("", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.response(200, Materials)
def listed() -> Any:
    """Every version, oldest first."""
    return materials.listed(context())


@blp.route("/<code:code>", methods=["PUT"])
@needs("office")
@blp.arguments(MaterialBody)
@blp.response(200, Material)
def put(body: dict[str, Any], code: str) -> Any:
    """Add a version, in force from a day; older ones stay."""
    return materials.put(context(), code, body)
