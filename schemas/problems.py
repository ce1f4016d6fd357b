"""Errors, as every endpoint answers them (RFC 9457)."""

from marshmallow import Schema, fields

from schemas.answers import answer
from service.engine.site.condition import Condition


class FieldError(Schema):
    """One thing wrong with one field."""

    pointer = fields.String(metadata={"description": "JSON pointer (RFC 6901) into the body"})
    detail = fields.String(metadata={"description": "What is wrong with it, in English."})
    code = fields.String(metadata={"description": "Names the sentence, where it has a name."})
    values = fields.Dict(metadata={"description": "What fills the sentence of that name."})


class Problem(Schema):
    """What went wrong; `errors` for bad input, `conditions` for a certificate that was refused."""

    type = fields.String(metadata={"description": "A URI that names the kind of problem."})
    title = fields.String(metadata={"description": "The kind of problem, in English."})
    status = fields.Integer(metadata={"description": "The HTTP status."})
    detail = fields.String(metadata={"description": "What went wrong, in English."})
    code = fields.String(metadata={"description": "Names the detail's sentence, where it has a name."})
    values = fields.Dict(metadata={"description": "What fills the sentence of that name."})
    instance = fields.String(metadata={"description": "Names this one occurrence: the request's id."})
    errors = fields.List(fields.Nested(FieldError), metadata={"description": "Each field that is wrong."})
    conditions = fields.List(
        fields.Nested(answer(Condition)), metadata={"description": "What stands in the way of a certificate."}
    )
