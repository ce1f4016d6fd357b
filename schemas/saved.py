"""The file that a crew's page saves of what it could not send: entries and supplements by job, and photos."""

from marshmallow import Schema, fields, validate

from schemas.entries import Batch, EntryField
from schemas.fields import Moment, Several, Text, label
from schemas.supplements import SupplementBody

FORMAT = "baywright-entries-1"
MOST_PHOTOS = 2000
MOST_SUPPLEMENTS = 200


class SavedPhoto(Schema):
    """A photo with what it would have been sent with."""

    job = fields.UUID(required=True)
    id = fields.UUID(required=True)
    cavity = label()
    caption = Text()
    taken_at = Moment()
    latitude = fields.Float(validate=validate.Range(-90, 90))
    longitude = fields.Float(validate=validate.Range(-180, 180))
    content = fields.String(required=True)


class SavedEntries(Schema):
    """What waited on a phone."""

    format = fields.String(required=True, validate=validate.OneOf([FORMAT]))
    jobs = fields.Dict(
        keys=fields.UUID(),
        values=Several(EntryField(Batch.ALL_KINDS), least=1, most=10_000),
        required=True,
    )
    supplements = fields.Dict(
        keys=fields.UUID(),
        values=Several(fields.Nested(SupplementBody), least=1, most=MOST_SUPPLEMENTS),
        load_default={},
    )
    photos = fields.List(
        fields.Nested(SavedPhoto), validate=validate.Length(max=MOST_PHOTOS), load_default=[]
    )
