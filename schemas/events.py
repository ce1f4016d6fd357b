"""Which events are asked for."""

from marshmallow import Schema

from schemas.fields import PageSize, Place


class EventQuery(Schema):
    """Where to go on in the firm's events."""

    after = Place(load_default=0, metadata={"description": "The position of the last event that was seen."})
    limit = PageSize()
