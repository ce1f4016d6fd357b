"""A concession: a condition that the office let stand."""

from marshmallow import Schema, fields

from schemas.fields import Moment, Text, label, one_of
from service.engine.ground.vocabulary import ConditionCode


class ConcessionBody(Schema):
    """Which condition, why, and who grants it; without a subject it covers all of the cavity's."""

    condition = one_of(ConditionCode, required=True)
    cavity = label()
    subject = Text()
    reason = Text(longest=1000, lines=True, required=True)
    granted_by = label(required=True)


class Concession(Schema):
    """A concession as it is printed."""

    condition = fields.String()
    cavity = fields.String(allow_none=True)
    subject = fields.String(allow_none=True)
    reason = fields.String()
    granted_by = fields.String()
    granted_at = Moment()
