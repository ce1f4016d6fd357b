"""A job as the crew reads it."""

from marshmallow import Schema, fields, validate

from schemas.answers import answer
from schemas.cavities import Cavity, Client, Site
from schemas.fields import Day, Moment, PageSize
from schemas.materials import NamedMaterial
from service.engine.plan.takeoff import Takeoff


class JobHead(Schema):
    """A job without its cavities."""

    id = fields.String()
    number = fields.String()
    state = fields.String(validate=validate.OneOf(["open", "certified", "closed"]))
    quote_id = fields.String()
    created_at = Moment()


class OfferedMaterial(NamedMaterial):
    """The material of an offer, as its sheet was on the day."""

    class Meta:
        """What a version has beside its sheet."""

        exclude = ("in_force_from",)


class Job(JobHead):
    """A job with its cavities, quantities, methods, holes and hold points."""

    quote_number = fields.String()
    reference = fields.String()
    client = fields.Nested(Client)
    site = fields.Nested(Site)
    client_erased_at = Moment(allow_none=True)
    market = fields.String()
    language = fields.String()
    material = fields.Nested(OfferedMaterial)
    offered_at = Moment()
    valid_until = Day()
    cavities = fields.List(fields.Nested(Cavity))
    takeoff = fields.Nested(answer(Takeoff))


class JobPage(Schema):
    """Jobs, newest first; the Link header names the next page."""

    items = fields.List(fields.Nested(JobHead))


class JobQuery(Schema):
    """Which jobs to list."""

    limit = PageSize()
    after = fields.UUID()
