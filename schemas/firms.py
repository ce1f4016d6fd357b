"""A firm, as it stands at the head of its documents."""

from zoneinfo import available_timezones

from marshmallow import Schema, fields, validate

from schemas.fields import Text, iso_code, label
from schemas.fields import code as short_code
from schemas.wrong import wrong
from service.engine.ground.messages import message
from service.engine.survey.limits import FIRM_CODE

# RFC 3986, without user, query and fragment: what is asked for lies in the request's body.
ADDRESS = r"https?://[A-Za-z0-9.\-\[\]:]+(/[A-Za-z0-9._~/-]*)?"
ZONES = frozenset(available_timezones())


def is_zone(name: str) -> None:
    """Refuse what is no zone of the IANA database."""
    if name not in ZONES:
        raise wrong(message("schemas.no_time_zone"))


class Firm(Schema):
    """Name and address of a contractor; `code` is part of its certificates' numbers."""

    code = fields.String(required=True, validate=validate.Regexp(f"^{FIRM_CODE}$(?!\n)"))
    name = Text(required=True)
    address = Text(longest=400, lines=True, required=True)
    email = fields.Email(required=True)
    phone = label(required=True)
    currency = iso_code(3)
    practice = short_code(metadata={"description": "code of the practice profile that it usually works by"})
    material = short_code(metadata={"description": "code of the material that it usually blows"})
    time_zone = fields.String(
        validate=is_zone,
        metadata={"description": "zone in which papers tell times; UTC where it is not given"},
    )
    timestamp_url = fields.String(
        validate=[validate.Regexp(f"^{ADDRESS}$(?!\n)"), validate.Length(max=200)],
        metadata={
            "description": "address of the authority (RFC 3161) whose timestamps its signatures have; "
            "without one they have none"
        },
    )
