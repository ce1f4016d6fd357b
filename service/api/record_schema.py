"""The published shape of a certificate's record: for another program, in ten years too."""

from flask import Response

from service.api.blueprint import Blueprint, public
from service.usecases.work import record_shape

KIND = "application/schema+json"

blp = Blueprint(
    "record_schema", __name__, url_prefix="/schemas", description="For whoever reads certificates by program."
)


@blp.route("/record/1", methods=["GET"])
@blp.doc(responses={"200": {"description": "A JSON Schema (draft 2020-12)", "content": {KIND: {}}}})
@public
def read() -> Response:
    """The shape of the record.json that is attached to every certificate: frozen, version 1."""
    return Response(record_shape.published(), content_type=KIND)
