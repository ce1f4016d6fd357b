"""A client link."""

from marshmallow import Schema, fields

from schemas.fields import Moment, Whole


class LinkBody(Schema):
    """How long the link holds."""

    days = Whole(least=1, most=3660, required=True)


class Link(Schema):
    """A link, shown once: whoever has the address may read what it opens."""

    id = fields.String()
    url = fields.String()
    expires_at = Moment()


class LinkHead(Schema):
    """A link in force, by the id that revokes it; its address was shown when it was made."""

    id = fields.String()
    created_at = Moment()
    expires_at = Moment()


class Links(Schema):
    """Links in force, the oldest first."""

    items = fields.List(fields.Nested(LinkHead))
