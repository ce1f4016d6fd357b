"""A quote: a building with its client and site, priced."""

from marshmallow import Schema, fields, validate

from schemas.answers import answer
from schemas.cavities import Building, Cavity, Client, Site
from schemas.fields import Amount, Day, Moment, PageSize, Text
from service.engine.plan.takeoff import Takeoff

STATES = ["draft", "offered", "accepted", "withdrawn", "lapsed"]
LANGUAGES = ["en", "de"]


class QuoteBody(Building):
    """What a sales system posts."""

    reference = Text(longest=80, required=True)
    client = fields.Nested(Client, required=True)
    site = fields.Nested(Site, required=True)
    language = fields.String(
        load_default="en",
        validate=validate.OneOf(LANGUAGES),
        metadata={"description": "What the documents are printed in; the firm's own texts stay as they are."},
    )


class ErasureBody(Schema):
    """Why a client's personal data is erased."""

    reason = Text(longest=1000, lines=True, required=True)


class QuoteHead(Schema):
    """A quote without its cavities."""

    id = fields.String()
    number = fields.String(allow_none=True)
    reference = fields.String()
    state = fields.String(validate=validate.OneOf(STATES))
    version = fields.Integer()
    client = fields.Nested(Client)
    site = fields.Nested(Site)
    client_erased_at = Moment(allow_none=True)
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

    language = fields.String(validate=validate.OneOf(LANGUAGES))
    practice = fields.String()
    material = fields.String()
    priced_on = Day()
    travel_km = fields.Float()
    extras = fields.List(fields.Dict())
    cavities = fields.List(fields.Nested(Cavity))
    takeoff = fields.Nested(answer(Takeoff))
    job_id = fields.String(allow_none=True)


class QuotePage(Schema):
    """Quotes, newest first; the Link header names the next page."""

    items = fields.List(fields.Nested(QuoteHead))


class QuoteQuery(Schema):
    """Which quotes to list."""

    state = fields.String(validate=validate.OneOf(STATES))
    limit = PageSize()
    after = fields.UUID()
