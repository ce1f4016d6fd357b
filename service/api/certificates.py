"""Certificates: what was issued, and what has become of it."""

from typing import Any
from uuid import UUID

from schemas.certificates import Certificate, WithdrawalBody
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import pdf
from service.usecases.work import certificates

blp = Blueprint(
    "certificates", __name__, url_prefix="/v1/certificates", description="Issued records and their files."
)


@blp.route("/<uuid:certificate_id>", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, Certificate)
def read(certificate_id: UUID) -> Any:
    """A certificate and its state."""
    return certificates.read(context(), certificate_id)


@blp.route("/<uuid:certificate_id>/document", methods=["GET"])
@needs("sales", "installer", "office")
@blp.response(200, content_type="application/pdf", schema={"type": "string", "format": "binary"})
def document(certificate_id: UUID) -> Any:
    """The certificate as PDF, the stored bytes."""
    return pdf(certificates.pdf(context(), certificate_id), "certificate")


@blp.route("/<uuid:certificate_id>/withdrawal", methods=["POST"])
@needs("office")
@blp.arguments(WithdrawalBody)
@blp.response(200, Certificate)
def withdraw(body: dict[str, Any], certificate_id: UUID) -> Any:
    """Withdraw a certificate, with a reason; its record stays."""
    return certificates.withdraw(context(), certificate_id, body["reason"])
