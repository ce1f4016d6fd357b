"""Concessions: conditions that the office lets stand."""

from typing import Any
from uuid import UUID

from schemas.concessions import Concession, ConcessionBody
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.work import concessions
from service.usecases.work.concessions import Asked

blp = Blueprint(
    "concessions", __name__, url_prefix="/v1/jobs", description="What the office lets stand, and why."
)


@blp.route("/<uuid:job_id>/concessions", methods=["POST"])
@needs("office")
@blp.arguments(ConcessionBody)
@blp.response(201, Concession)
def grant(body: dict[str, Any], job_id: UUID) -> Any:
    """Let a condition that is not met stand, with a reason that the certificate prints."""
    return concessions.grant(context(), job_id, Asked(**body))
