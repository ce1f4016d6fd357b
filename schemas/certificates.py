"""A certificate, and what can be asked of it."""

from marshmallow import Schema, fields, validate

from schemas.answers import answer
from schemas.fields import Moment, Several, Text, label
from service.engine.site.awaited import AwaitedPhoto
from service.engine.site.certifiable import Outcome
from service.engine.site.condition import Condition

MOST_PARTS = 10_000


class IssueBody(Schema):
    """Who signs, by the name of his key, and for which parts: for all where none are named."""

    signed_by = label(
        required=True, metadata={"description": "Who signs: the person whom the key was made for."}
    )
    cavities = Several(
        label(),
        least=1,
        most=MOST_PARTS,
        metadata={"description": "Labels of the parts that it is for; left out, all of the job's."},
    )


class PreviewQuery(Schema):
    """Which parts, each named by a parameter of its own; all where none are named."""

    cavities = Several(
        label(),
        least=1,
        most=MOST_PARTS,
        metadata={"description": "Label of a part, once for each; left out, all of the job's."},
    )


class WithdrawalBody(Schema):
    """Why a certificate is withdrawn."""

    reason = Text(
        longest=1000, lines=True, required=True, metadata={"description": "Why it no longer stands."}
    )


class Preview(Schema):
    """What a certificate would say, were it issued now; the ETag is what issuing asks for in If-Match."""

    tag = fields.String(metadata={"description": "The ETag without its quotes, for If-Match."})
    signed_by = fields.String(metadata={"description": "Who would sign by this key."})
    ready = fields.Boolean(metadata={"description": "Whether nothing stands in the way."})
    completes = fields.Boolean(
        metadata={"description": "Whether every part of the job would have a certificate in force."}
    )
    unmet = fields.List(
        fields.Nested(answer(Condition)), metadata={"description": "What stands in the way of these parts."}
    )
    supersedes = fields.List(
        fields.String(), metadata={"description": "Numbers of the certificates that it would supersede."}
    )
    photos_awaited = fields.List(
        fields.Nested(answer(AwaitedPhoto)),
        metadata={"description": "Photos that entries of these parts name and that have not arrived."},
    )
    record = fields.Dict(
        metadata={"description": "All that it would say, but for its number, its time and who signed."}
    )


class Certificate(Schema):
    """A certificate and what has become of it; `added_to_at` is when an entry of its parts came after it."""

    id = fields.UUID(metadata={"description": "The certificate's id."})
    number = fields.String(metadata={"description": "The certificate's number."})
    job_id = fields.UUID(metadata={"description": "The job that it is for."})
    state = fields.String(
        validate=validate.OneOf(["in_force", "superseded", "withdrawn"]),
        metadata={"description": "Whether it stands."},
    )
    issued_at = Moment(metadata={"description": "When it was issued."})
    outcome = fields.Nested(answer(Outcome), metadata={"description": "What it says at a glance."})
    added_to_at = Moment(
        allow_none=True,
        metadata={"description": "When the first entry of its parts came that is newer than it."},
    )
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
