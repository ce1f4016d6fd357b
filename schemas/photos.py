"""A photo as it is kept: under the id that was made where it was taken."""

from typing import Any

from marshmallow import Schema, ValidationError, fields, validate, validates_schema

from schemas.fields import Moment, Text, label
from schemas.wrong import Said
from service.engine.ground.messages import message


class PhotoQuery(Schema):
    """What a photo is of, where no entry names it."""

    cavity = label(metadata={"description": "Label of the part that the photo is of."})
    caption = Text(metadata={"description": "What the photo shows, in one line."})
    taken_at = Moment(
        metadata={"description": "When it was taken, where the file does not say: a phone scaled it down."}
    )
    latitude = fields.Float(
        validate=validate.Range(-90, 90),
        metadata={"description": "Where it was taken, in degrees north, with longitude."},
    )
    longitude = fields.Float(
        validate=validate.Range(-180, 180),
        metadata={"description": "Where it was taken, in degrees east, with latitude."},
    )

    @validates_schema
    def _place(self, data: dict[str, Any], **_options: Any) -> None:
        """A place is both of its degrees, or none."""
        if ("latitude" in data) != ("longitude" in data):
            missing = "longitude" if "latitude" in data else "latitude"
            raise ValidationError({missing: [Said(message("schemas.half_a_place"))]})


class Photo(Schema):
    """A photo of a job. Time and place are the camera's, where it noted them with their reference."""

    id = fields.UUID(metadata={"description": "The id that was made where the photo was taken."})
    sha256 = fields.String(metadata={"description": "SHA-256 of the photo as it is kept."})
    cavity = fields.String(
        allow_none=True,
        metadata={"description": "Label of its part; null where none was said."},
    )
    caption = fields.String(
        allow_none=True, metadata={"description": "What it shows; null where nothing was said."}
    )
    width_px = fields.Integer(metadata={"description": "Width as kept, in pixels."})
    height_px = fields.Integer(metadata={"description": "Height as kept, in pixels."})
    size_bytes = fields.Integer(
        allow_none=True, metadata={"description": "Size as kept, in bytes; null once erased."}
    )
    taken_at = Moment(allow_none=True, metadata={"description": "When the camera says that it was taken."})
    latitude = fields.Float(
        allow_none=True,
        metadata={"description": "Where the camera was, in degrees north."},
    )
    longitude = fields.Float(
        allow_none=True, metadata={"description": "Where the camera was, in degrees east."}
    )
    received_at = Moment(metadata={"description": "When the service received it."})
    erased_at = Moment(
        allow_none=True,
        metadata={"description": "When it was erased, with the client's data."},
    )


class Photos(Schema):
    """A job's photos in the order they were received."""

    photos = fields.List(fields.Nested(Photo), metadata={"description": "In the order they were received."})
