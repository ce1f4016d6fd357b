"""Photos of patches and details."""

from typing import Any
from uuid import UUID

from flask import current_app, request

from schemas.photos import Photo, PhotoQuery, Photos
from service.api.auth import context
from service.api.blueprint import Blueprint, needs, reading
from service.api.conditional import stored
from service.usecases.work import photos
from service.usecases.work.photos import Sent

blp = Blueprint("photos", __name__, url_prefix="/v1", description="Photos of patches and details.")

BINARY = {"schema": {"type": "string", "format": "binary"}}
BODY = {"required": True, "content": {"image/jpeg": BINARY, "image/png": BINARY}}


@blp.route("/jobs/<uuid:job_id>/photos/<uuid:photo_id>", methods=["PUT"])
@blp.doc(requestBody=BODY)
@needs("installer", "office", "crew")
@reading("bytes")
@blp.arguments(PhotoQuery, location="query")
@blp.response(200, Photo)
def put(query: dict[str, Any], job_id: UUID, photo_id: UUID) -> Any:
    """Keep a photo under an id that was made where it was taken, in any order with the entry that names it.

    It is made anew without the camera's notes. The same once more is the same photo; other bytes are 409.
    """
    request.max_content_length = current_app.extensions["settings"].photo_limit_bytes
    sent = Sent(id=photo_id, content=request.get_data(), media_type=request.mimetype, **query)
    return photos.put(context(), job_id, sent)


@blp.route("/jobs/<uuid:job_id>/photos", methods=["GET"])
@needs("sales", "installer", "signatory", "office", "crew")
@blp.response(200, Photos)
def listed(job_id: UUID) -> Any:
    """A job's photos in the order they were received."""
    return photos.listed(context(), job_id)


@blp.route("/jobs/<uuid:job_id>/photos/<uuid:photo_id>", methods=["GET"])
@needs("sales", "installer", "signatory", "office", "crew")
@blp.response(200, content_type="image/jpeg", schema=BINARY["schema"])
def read(job_id: UUID, photo_id: UUID) -> Any:
    """A photo as JPEG, the stored bytes."""
    return stored(photos.file(context(), job_id, photo_id), "image/jpeg", f"{photo_id}.jpg")
