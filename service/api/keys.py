"""Keys: the office makes, rotates and ends its firm's own."""

from typing import Any

from schemas.keys import KeyBody, RotationBody
from service.api import idempotency
from service.api.auth import context, context_once
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import office_keys

blp = Blueprint("keys", __name__, url_prefix="/v1/keys", description="The firm's access keys.")


@blp.route("", methods=["GET"])
@needs("office")
@blp.response(200, office_keys.ShownKeys)
def listed() -> Any:
    """The firm's keys by their prefixes, in force or ended; crews' links are with the crews."""
    return office_keys.listed(context())


@blp.route("", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("office")
@blp.arguments(KeyBody)
@blp.response(201, office_keys.NewKey)
def create(body: dict[str, Any]) -> Any:
    """Make a key, which is shown this once; send an Idempotency-Key."""
    return office_keys.create(context_once(), body["label"], body["roles"])


@blp.route("/<string:prefix>/rotation", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("office")
@blp.arguments(RotationBody)
@blp.response(201, office_keys.NewKey)
def rotate(body: dict[str, Any], prefix: str) -> Any:
    """Make a key in the place of one, which ends at once or after some hours; send an Idempotency-Key."""
    return office_keys.rotate(context_once(), prefix, body["grace_hours"])


@blp.route("/<string:prefix>", methods=["DELETE"])
@needs("office")
@blp.response(204)
def revoke(prefix: str) -> None:
    """End a key; the one that asks cannot end itself."""
    office_keys.revoke(context(), prefix)
