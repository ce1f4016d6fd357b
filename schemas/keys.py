"""Keys that the office makes."""

from marshmallow import Schema, fields, validate

from schemas.fields import Several, Whole, label

ROLES = ["sales", "installer", "signatory", "office"]


class KeyBody(Schema):
    """A key to be made."""

    label = label(required=True, metadata={"description": "Whose key it is; a signatory signs by this name."})
    roles = Several(
        fields.String(validate=validate.OneOf(ROLES)),
        least=1,
        most=len(ROLES),
        required=True,
        metadata={"description": "What it opens."},
    )


class RotationBody(Schema):
    """How a key gives way to another."""

    grace_hours = Whole(
        least=0, most=720, load_default=0, metadata={"description": "How long the old key still holds (h)."}
    )
