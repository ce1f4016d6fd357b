"""Errors, as every endpoint answers them (RFC 9457)."""

from marshmallow import Schema, fields

from schemas.answers import answer
from service.engine.site.conditions import Condition


class FieldError(Schema):
    """One thing wrong with one field."""

    pointer = fields.String(metadata={"description": "JSON pointer (RFC 6901) into the body"})
    detail = fields.String()


class Problem(Schema):
    """What went wrong; `errors` for bad input, `conditions` for a certificate that was refused."""

    type = fields.String()
    title = fields.String()
    status = fields.Integer()
    detail = fields.String()
    instance = fields.String()
    errors = fields.List(fields.Nested(FieldError))
    conditions = fields.List(fields.Nested(answer(Condition)))
