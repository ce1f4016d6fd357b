"""A takeoff: everything that follows from a building."""

from marshmallow import Schema, fields

from schemas.cavities import Building, Site
from schemas.fields import Flag, Number, Several
from schemas.materials import Sourced


class MonthClimate(Schema):
    """Means of one month on both sides of an element."""

    inside_c = Number(least=-40, most=50, required=True)
    inside_rh_percent = Number(least=0.1, most=100, required=True)
    outside_c = Number(least=-40, most=50, required=True)
    outside_rh_percent = Number(least=0.1, most=100, required=True)


class Climate(Sourced):
    """A year's climate, January first."""

    months = Several(fields.Nested(MonthClimate), least=12, most=12, required=True)


class TakeoffBody(Building):
    """A building, priced but not kept; the site is needed only for the age of the house.

    `explain` asks for the working behind every figure, `what_if` for what another
    density would take, `climate` for the moisture indicator.
    """

    site = fields.Nested(Site)
    explain = Flag()
    what_if = Flag()
    climate = fields.Nested(Climate)
