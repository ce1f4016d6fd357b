"""A draft that a new version of prices or practice touches."""

from marshmallow import Schema, fields

from schemas.fields import Day


class Touched(Schema):
    """A draft that would come out otherwise."""

    id = fields.UUID(metadata={"description": "Id of the draft."})
    reference = fields.String(metadata={"description": "The caller's own name for it."})
    priced_on = Day(metadata={"description": "The day whose prices and sheets it was worked out by."})
