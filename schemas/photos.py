"""A photo as it is kept: its bytes are under its digest."""

from marshmallow import Schema, fields

from schemas.fields import Moment


class Photo(Schema):
    """A photo of a job. Time and place are the camera's, where it noted them with their reference."""

    sha256 = fields.String()
    width_px = fields.Integer()
    height_px = fields.Integer()
    size_bytes = fields.Integer(allow_none=True)
    taken_at = Moment(allow_none=True)
    latitude = fields.Float(allow_none=True)
    longitude = fields.Float(allow_none=True)
    received_at = Moment()
    erased_at = Moment(allow_none=True)


class Photos(Schema):
    """A job's photos in the order they were received."""

    photos = fields.List(fields.Nested(Photo))
