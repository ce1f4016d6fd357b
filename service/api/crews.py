"""Crews, their links and their days."""

from typing import Any
from uuid import UUID

from schemas.crews import AssignmentBody, CrewBody
from service.api import idempotency
from service.api.auth import context, context_once
from service.api.blueprint import Blueprint, needs
from service.usecases.work import crews

blp = Blueprint("crews", __name__, url_prefix="/v1", description="Crews, their links and their days.")


@blp.route("/crews", methods=["GET"])
@needs("office")
@blp.response(200, crews.Crews)
def listed() -> Any:
    """The firm's crews."""
    return crews.listed(context())


@blp.route("/crews", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("office")
@blp.arguments(CrewBody)
@blp.response(201, crews.NewCrew)
def create(body: dict[str, Any]) -> Any:
    """Make a crew and its link, which is shown this once; send an Idempotency-Key."""
    return crews.create(context_once(), body["name"])


@blp.route("/crews/<uuid:crew_id>/link", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("office")
@blp.response(201, crews.NewCrew)
def renew(crew_id: UUID) -> Any:
    """Give a crew another link; the one before opens nothing from then on. Send an Idempotency-Key."""
    return crews.renew(context_once(), crew_id)


@blp.route("/crews/<uuid:crew_id>", methods=["DELETE"])
@needs("office")
@blp.response(204)
def revoke(crew_id: UUID) -> None:
    """End a crew's link; the crew and what it recorded stay."""
    crews.revoke(context(), crew_id)


@blp.route("/jobs/<uuid:job_id>/assignment", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.response(200, crews.Assignment)
def assignment(job_id: UUID) -> Any:
    """Which crews are at a job on which days."""
    return crews.assignment(context(), job_id)


@blp.route("/jobs/<uuid:job_id>/assignment", methods=["PUT"])
@needs("office")
@blp.arguments(AssignmentBody)
@blp.response(200, crews.Assignment)
def assign(body: dict[str, Any], job_id: UUID) -> Any:
    """Say which crews are at a job on which days, in the place of what was said before."""
    return crews.assign(context(), job_id, body["days"])
