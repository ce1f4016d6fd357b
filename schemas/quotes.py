"""A quote: a building with its client and site, priced."""

from marshmallow import Schema, fields, validate

from schemas.cavities import Building, Cavity, Client, Site
from schemas.fields import Amount, Day, Moment, Text
from schemas.takeoffs import Takeoff

STATES = ["draft", "offered", "accepted", "withdrawn", "lapsed"]


class QuoteBody(Building):
    """What a sales system posts."""

    reference = Text(longest=80, required=True)
    client = fields.Nested(Client, required=True)
    site = fields.Nested(Site, required=True)


class QuoteHead(Schema):
    """A quote without its cavities."""

    id = fields.String()
    number = fields.String(allow_none=True)
    reference = fields.String()
    state = fields.String(validate=validate.OneOf(STATES))
    version = fields.Integer()
    client = fields.Nested(Client)
    site = fields.Nested(Site)
    currency = fields.String()
    total = Amount()
    created_at = Moment()
    updated_at = Moment()
    offered_at = Moment(allow_none=True)
    valid_until = Day(allow_none=True)
    accepted_at = Moment(allow_none=True)
    withdrawn_at = Moment(allow_none=True)


class Quote(QuoteHead):
    """A quote with all that was worked out for it."""

    practice = fields.String()
    material = fields.String()
    priced_on = Day()
    travel_km = fields.Float()
    extras = fields.List(fields.Dict())
    cavities = fields.List(fields.Nested(Cavity))
    takeoff = fields.Nested(Takeoff)
    job_id = fields.String(allow_none=True)


class QuotePage(Schema):
    """Quotes, newest first; the Link header names the next page."""

    items = fields.List(fields.Nested(QuoteHead))


class QuoteQuery(Schema):
    """Which quotes to list."""

    state = fields.String(validate=validate.OneOf(STATES))
    limit = fields.Integer(load_default=50, validate=validate.Range(min=1, max=200))
    after = fields.UUID()
