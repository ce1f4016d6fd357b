"""A firm, as it stands at the head of its documents."""

from marshmallow import Schema, fields, validate

from schemas.fields import Text, iso_code, label
from service.engine.survey.limits import FIRM_CODE


class Firm(Schema):
    """Name and address of a contractor; `code` is part of its certificates' numbers."""

    code = fields.String(required=True, validate=validate.Regexp(f"^{FIRM_CODE}$(?!\n)"))
    name = Text(required=True)
    address = Text(longest=400, lines=True, required=True)
    email = fields.Email(required=True)
    phone = label(required=True)
    currency = iso_code(3)
