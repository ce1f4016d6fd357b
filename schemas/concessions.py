"""A concession: a condition that the office let stand."""

from marshmallow import Schema, fields

from schemas.fields import Moment, Text, label, one_of
from service.engine.ground.vocabulary import ConditionCode


class ConcessionBody(Schema):
    """Which condition, why, and who grants it; without a subject it covers all of the cavity's."""

    condition = one_of(ConditionCode, required=True, metadata={"description": "Code of the unmet condition."})
    cavity = label(
        metadata={"description": "Label of the cavity; left out for a condition of the whole job."}
    )
    subject = Text(
        metadata={"description": "What the condition is about; left out, it covers all of the cavity's."}
    )
    reason = Text(longest=1000, lines=True, required=True, metadata={"description": "Why it is let stand."})
    granted_by = label(required=True, metadata={"description": "Who grants it, by name."})


class Concession(Schema):
    """A concession as it is printed."""

    condition = fields.String(metadata={"description": "Code of the condition that it covers."})
    cavity = fields.String(
        allow_none=True,
        metadata={"description": "Label of the cavity; null for a condition of the whole job."},
    )
    subject = fields.String(
        allow_none=True,
        metadata={"description": "What the condition is about; null where all of the cavity's are covered."},
    )
    reason = fields.String(metadata={"description": "Why it was granted."})
    granted_by = fields.String(metadata={"description": "Who granted it."})
    granted_at = Moment(metadata={"description": "When it was granted."})
