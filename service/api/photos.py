"""Photos of patches and details."""

from typing import Any
from uuid import UUID

from flask import current_app, request

from schemas.photos import Photo, Photos
from service.api.auth import context
from service.api.blueprint import Blueprint, needs, reading
from service.api.conditional import stored
from service.usecases.work import photos

blp = Blueprint("photos", __name__, url_prefix="/v1", description="Photos of patches and details.")

BINARY = {"schema": {"type": "string", "format": "binary"}}
BODY = {"required": True, "content": {"image/jpeg": BINARY, "image/png": BINARY}}


def _kept(photo: Any) -> dict[str, str]:
    return {"Location": f"/v1/photos/{photo['sha256']}"}


@blp.route("/jobs/<uuid:job_id>/photos", methods=["POST"])
@blp.doc(requestBody=BODY)
@needs("installer", "office")
@reading("bytes")
@blp.response(201, Photo, headers_of=_kept)
def add(job_id: UUID) -> Any:
    """Keep a photo of a job, made anew without the camera's notes; a patch names it by its digest."""
    request.max_content_length = current_app.extensions["settings"].photo_limit_bytes
    return photos.add(context(), job_id, request.get_data(), request.mimetype)


@blp.route("/jobs/<uuid:job_id>/photos", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, Photos)
def listed(job_id: UUID) -> Any:
    """A job's photos in the order they were received."""
    return photos.listed(context(), job_id)


@blp.route("/photos/<string:sha256>", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, content_type="image/jpeg", schema=BINARY["schema"])
def read(sha256: str) -> Any:
    """A photo as JPEG, the stored bytes."""
    return stored(photos.file(context(), sha256), "image/jpeg", f"{sha256}.jpg")
