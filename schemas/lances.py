"""A lance."""

from marshmallow import Schema, fields

from schemas.fields import Day, Number, code, millimetres
from schemas.posted import Posted
from schemas.shapes import described_by
from service.engine.survey import practice as known


@described_by(known.Lance)
class LanceBody(Posted):
    """A steel tube for the end of the hose; 0 degrees is straight."""

    length_mm = millimetres(least=100, most=10_000, required=True)
    diameter_mm = millimetres(least=10, most=200, required=True)
    curve_deg = Number(least=0, most=180)


class NamedLance(LanceBody):
    """A lance with its code, as it stands in a file."""

    code = code(required=True, metadata={"description": "Code of the lance."})


class Lance(LanceBody):
    """A lance as it is kept; the latest version of a code is the one in use."""

    code = fields.String(metadata={"description": "Code of the lance."})
    in_force_from = Day(metadata={"description": "The day that this version is in use from."})


class Lances(Schema):
    """The lances in use."""

    items = fields.List(fields.Nested(Lance), metadata={"description": "The lances in use."})
