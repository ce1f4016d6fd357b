"""A takeoff: everything that follows from a building."""

from marshmallow import Schema, fields, validate

from schemas.cavities import Client, Site
from schemas.fields import Flag, Number, Several, Text, label
from schemas.materials import Sourced
from schemas.options import Offered
from schemas.shapes import described_by
from service.engine.ground.vocabulary import LANGUAGES
from service.engine.survey import climate as survey


@described_by(survey.MonthClimate)
class MonthClimate(Schema):
    """Means of one month on both sides of an element."""

    inside_c = Number(least=survey.COLDEST_C, most=survey.WARMEST_C, required=True)
    inside_rh_percent = Number(least=0.1, most=100, required=True)
    outside_c = Number(least=survey.COLDEST_C, most=survey.WARMEST_C, required=True)
    outside_rh_percent = Number(least=0.1, most=100, required=True)


@described_by(survey.Climate)
class Climate(Sourced):
    """A year's climate, January first."""

    months = Several(fields.Nested(MonthClimate), least=12, most=12, required=True)


class TakeoffBody(Offered):
    """A building, priced but not kept: a quote's body is one too, its reference and client are checked.

    The site is needed only for the age of the house; of options what is different is checked and not
    worked out. `explain` asks for the working behind
    every figure, `what_if` for what another density would take, `climate` for the moisture
    indicator.
    """

    reference = Text(longest=80, metadata={"description": "As of a quote; not kept."})
    client = fields.Nested(Client, metadata={"description": "As of a quote; not kept."})
    site = fields.Nested(Site, metadata={"description": "Needed only for the age of the house."})
    language = fields.String(
        validate=validate.OneOf(LANGUAGES), metadata={"description": "As of a quote; nothing is printed."}
    )
    explain = Flag(metadata={"description": "Whether the working behind every figure is asked for."})
    what_if = Flag(metadata={"description": "Whether what other densities would take is asked for."})
    climate = fields.Nested(
        Climate, metadata={"description": "A year's climate, for the moisture indicator."}
    )


class TakeoffQuery(Schema):
    """Which size of answer is asked for."""

    working = fields.Boolean(
        load_default=False,
        truthy={"true"},
        falsy={"false"},
        metadata={
            "description": "Whether the full working is asked for; explain, what_if and climate imply it."
        },
    )


class WorkingQuery(Schema):
    """Whose working is asked for."""

    cavity = label(metadata={"description": "Label of one cavity; without it, all of them."})
