"""A client link."""

from marshmallow import Schema, fields

from schemas.fields import Moment, Whole


class LinkBody(Schema):
    """How long the link holds."""

    days = Whole(
        least=1, most=3660, required=True, metadata={"description": "How long the link holds (days)."}
    )


class Link(Schema):
    """A link, shown once: whoever has the address may read what it opens."""

    id = fields.UUID(metadata={"description": "The link's id, by which it is revoked."})
    url = fields.String(metadata={"description": "The address: whoever has it may read what it opens."})
    expires_at = Moment(metadata={"description": "When it ends."})


class LinkHead(Schema):
    """A link in force, by the id that revokes it; its address was shown when it was made."""

    id = fields.UUID(metadata={"description": "The link's id, by which it is revoked."})
    created_at = Moment(metadata={"description": "When it was made."})
    expires_at = Moment(metadata={"description": "When it ends."})


class Links(Schema):
    """Links in force, the oldest first."""

    items = fields.List(
        fields.Nested(LinkHead), metadata={"description": "The links in force, the oldest first."}
    )
