"""A certificate, and what can be asked of it."""

from marshmallow import Schema, fields, validate

from schemas.fields import Moment, Text, label


class IssueBody(Schema):
    """Who signs."""

    signed_by = label(required=True, metadata={"description": "Who signs, by name."})


class WithdrawalBody(Schema):
    """Why a certificate is withdrawn."""

    reason = Text(
        longest=1000, lines=True, required=True, metadata={"description": "Why it no longer stands."}
    )


class Certificate(Schema):
    """A certificate and what has become of it."""

    id = fields.String(metadata={"description": "The certificate's id."})
    number = fields.String(metadata={"description": "The certificate's number."})
    job_id = fields.String(metadata={"description": "The job that it is for."})
    state = fields.String(
        validate=validate.OneOf(["in_force", "superseded", "withdrawn"]),
        metadata={"description": "Whether it stands."},
    )
    issued_at = Moment(metadata={"description": "When it was issued."})
    record_sha256 = fields.String(metadata={"description": "SHA-256 of its record."})
    chain_sha256 = fields.String(
        metadata={"description": "SHA-256 of the firm's chain of certificates up to this one."}
    )
    file_sha256 = fields.String(
        allow_none=True, metadata={"description": "SHA-256 of its document; null until it is made."}
    )
    file_erased_at = Moment(
        allow_none=True, metadata={"description": "When the document was erased with the client's data."}
    )
    superseded_by = fields.String(
        allow_none=True, metadata={"description": "Number of the certificate that took its place."}
    )
    superseded_at = Moment(allow_none=True, metadata={"description": "When that was issued."})
    withdrawn_at = Moment(allow_none=True, metadata={"description": "When it was withdrawn."})
    withdrawal_reason = fields.String(allow_none=True, metadata={"description": "Why it was withdrawn."})


class Certificates(Schema):
    """A job's certificates in the order of issue."""

    items = fields.List(fields.Nested(Certificate), metadata={"description": "In the order of issue."})
