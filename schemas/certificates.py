"""A certificate, and what can be asked of it."""

from marshmallow import Schema, fields, validate

from schemas.fields import Moment, Text, label


class IssueBody(Schema):
    """Who signs."""

    signed_by = label(required=True)


class WithdrawalBody(Schema):
    """Why a certificate is withdrawn."""

    reason = Text(longest=1000, lines=True, required=True)


class Certificate(Schema):
    """A certificate and what has become of it."""

    id = fields.String()
    number = fields.String()
    job_id = fields.String()
    state = fields.String(validate=validate.OneOf(["in_force", "superseded", "withdrawn"]))
    issued_at = Moment()
    record_sha256 = fields.String()
    chain_sha256 = fields.String()
    file_sha256 = fields.String(allow_none=True)
    file_erased_at = Moment(allow_none=True)
    superseded_by = fields.String(allow_none=True)
    superseded_at = Moment(allow_none=True)
    withdrawn_at = Moment(allow_none=True)
    withdrawal_reason = fields.String(allow_none=True)


class Certificates(Schema):
    """A job's certificates in the order of issue."""

    items = fields.List(fields.Nested(Certificate))
