"""Supplements: what came up on the way, as it is posted."""

from marshmallow import Schema, fields

from schemas.cavities import Cavity
from schemas.fields import Amount, Number, Several, Text, Whole
from schemas.fields import label as short_name
from service.engine.survey import limits

MOST_LINES = 50


class LineBody(Schema):
    """Something else that came up; what it costs is the office's to say."""

    text = Text(required=True, metadata={"description": "What it is."})
    quantity = Number(
        least=0.01,
        most=1_000_000,
        required=True,
        metadata={"description": "How much of it, in its own unit."},
    )
    unit = short_name(required=True, metadata={"description": "In which unit."})


class CountBody(Schema):
    """How many of a cavity there are on site, or whether one of its parts is there."""

    cavity = short_name(
        required=True, metadata={"description": "Label of a cavity of the job, or of one of several alike."}
    )
    count = Whole(
        least=0,
        most=limits.MOST_COUNT,
        required=True,
        metadata={"description": "How many of it there are; 0: there is none."},
    )


class SupplementBody(Schema):
    """What came up on the way: cavities, other counts, and what else; at least one of them."""

    id = fields.UUID(
        required=True, metadata={"description": "Made by who proposes it, a UUID; unique in its job."}
    )
    by = short_name(required=True, metadata={"description": "Who proposes it."})
    remark = Text(longest=1000, lines=True, metadata={"description": "Anything worth keeping."})
    cavities = Several(
        fields.Nested(Cavity),
        most=limits.MOST_CAVITIES,
        metadata={"description": "Cavities that the job did not have, as they were surveyed."},
    )
    counts = Several(
        fields.Nested(CountBody),
        most=limits.MOST_CAVITIES,
        metadata={"description": "Cavities of which there are more or fewer than on the plan."},
    )
    lines = Several(fields.Nested(LineBody), most=MOST_LINES, metadata={"description": "What else came up."})


class TermsBody(Schema):
    """By what a supplement is offered: its cavities by the quote's basis, its own lines at these prices."""

    unit_prices = Several(
        Amount(), most=MOST_LINES, metadata={"description": "A price for each of its own lines, before tax."}
    )
    valid_days = Whole(
        least=1,
        most=366,
        metadata={"description": "How long the offer holds (days); the price list says, where left out."},
    )


class ReasonBody(Schema):
    """Why a supplement was refused or is withdrawn."""

    reason = Text(longest=1000, lines=True, metadata={"description": "Why; it must not name the client."})


class TakeoverBody(Schema):
    """Why the office takes over what the client has not accepted."""

    by = short_name(required=True, metadata={"description": "Who of the office says so."})
    reason = Text(
        longest=1000,
        lines=True,
        required=True,
        metadata={"description": "Why; the certificate prints it."},
    )
