"""A build-up of the firm's library, in force from a day."""

from marshmallow import Schema, fields

from schemas.cavities import beside, depth
from schemas.fields import Day, Moment, code, label
from schemas.posted import Posted
from schemas.shapes import described_by
from service.engine.survey import build_up as known


@described_by(known.BuildUp)
class BuildUpBody(Posted):
    """A version of a build-up, in force from a day."""

    in_force_from = Day(
        required=True, metadata={"description": "The day that this version is in force from."}
    )
    name = label(required=True)
    layers = depth(required=True)
    inside = beside()
    outside = beside()


class NamedBuildUp(BuildUpBody):
    """A version with its code, as it stands in a file."""

    code = code(required=True, metadata={"description": "Code that cavities name it by."})


class BuildUp(BuildUpBody):
    """A version as it is kept."""

    id = fields.UUID(metadata={"description": "Id of the version."})
    code = fields.String(metadata={"description": "Code that cavities name it by."})
    created_at = Moment(metadata={"description": "When the version was added."})


class BuildUps(Schema):
    """Every version of every build-up."""

    items = fields.List(fields.Nested(BuildUp), metadata={"description": "Every version, oldest first."})
