"""A firm, as it stands at the head of its documents."""

from marshmallow import Schema, fields, validate

from schemas.fields import Text, label


class Firm(Schema):
    """Name and address of a contractor; `code` is part of its certificates' numbers."""

    code = fields.String(required=True, validate=validate.Regexp(r"[a-z][a-z0-9]{1,19}\Z"))
    name = Text(required=True)
    address = Text(longest=400, lines=True, required=True)
    email = fields.Email(required=True)
    phone = label(required=True)
    currency = fields.String(validate=validate.Regexp(r"[A-Z]{3}\Z"))
