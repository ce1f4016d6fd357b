"""Practice profiles: what the firm works by."""

from typing import Any

from schemas.practice import Practice, PracticeBody, Practices
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import practice

blp = Blueprint("practice", __name__, url_prefix="/v1/practice", description="Practice profiles, by version.")


@blp.route("", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.response(200, Practices)
def listed() -> Any:
    """Every version, oldest first."""
    return practice.listed(context())


@blp.route("", methods=["POST"])
@needs("office")
@blp.arguments(PracticeBody)
@blp.response(201, Practice)
def add(body: dict[str, Any]) -> Any:
    """Add a version, in force from a day; older ones stay."""
    return practice.add(context(), body)
