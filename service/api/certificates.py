"""Certificates: what was issued, and what has become of it."""

from typing import Any
from uuid import UUID

from flask import Response, request

from schemas.certificates import Certificate, Certificates, IssueBody, Preview, PreviewQuery, WithdrawalBody
from service.api import idempotency
from service.api.auth import context, context_once
from service.api.blueprint import BINARY, Blueprint, needs
from service.api.conditional import IF_MATCH, MISSING, STALE, as_issued, pdf, tags_named
from service.usecases.work import certificate_files, certificates, previews
from service.usecases.work.certificates import Wanted

blp = Blueprint("certificates", __name__, url_prefix="/v1", description="Issued records and their files.")

PDF = "application/pdf"


def _issued(certificate: Any) -> dict[str, str]:
    return {"Location": f"/v1/certificates/{certificate['id']}"}


def _tagged(preview: Any) -> dict[str, str]:
    return {"ETag": f'"{preview["tag"]}"', "Vary": "Accept"}


@blp.route("/jobs/<uuid:job_id>/certificates", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.response(200, Certificates)
def issued(job_id: UUID) -> Any:
    """The certificates of a job and what has become of them."""
    return certificates.listed(context(), job_id)


@blp.route("/jobs/<uuid:job_id>/certificates", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED, {**IF_MATCH, "required": True}], responses={**STALE, **MISSING})
@needs("signatory")
@blp.arguments(IssueBody)
@blp.response(201, Certificate, headers_of=_issued)
def issue(body: dict[str, Any], job_id: UUID) -> Any:
    """Issue a certificate for these parts, or for all; send If-Match of its preview, and an Idempotency-Key.

    It supersedes those in force all of whose parts it holds. Who signs is who the key was made for.
    """
    wanted = Wanted(signed_by=body["signed_by"], parts=body.get("cavities"), seen=tags_named())
    return certificates.issue(context_once(), job_id, wanted)


@blp.route("/jobs/<uuid:job_id>/certificates/preview", methods=["GET"])
@needs("signatory", "office")
@blp.arguments(PreviewQuery, location="query")
@blp.response(200, Preview, headers_of=_tagged)
def preview(query: dict[str, Any], job_id: UUID) -> Any:
    """What a certificate would say, were it issued now, and what stands in its way; stored nowhere.

    Name each part by a `cavities` of its own. As PDF for whoever accepts that first.
    """
    if request.accept_mimetypes.best_match(["application/json", PDF], "application/json") == PDF:
        return _preview_as_pdf(query, job_id)
    return previews.answer(context(), job_id, query.get("cavities"))


@blp.route("/jobs/<uuid:job_id>/certificates/preview/document", methods=["GET"])
@needs("signatory", "office")
@blp.arguments(PreviewQuery, location="query")
@blp.response(200, content_type=PDF, schema=BINARY)
def preview_document(query: dict[str, Any], job_id: UUID) -> Any:
    """The preview as PDF, marked as one on every page."""
    return _preview_as_pdf(query, job_id)


def _preview_as_pdf(query: dict[str, Any], job_id: UUID) -> Response:
    response = pdf(previews.pdf(context(), job_id, query.get("cavities")))
    response.vary.add("Accept")
    return response


@blp.route("/certificates/<uuid:certificate_id>", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.response(200, Certificate)
def read(certificate_id: UUID) -> Any:
    """A certificate and its state."""
    return certificates.read(context(), certificate_id)


@blp.route("/certificates/<uuid:certificate_id>/document", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.answers_document()
def document(certificate_id: UUID) -> Any:
    """The certificate as PDF, the stored bytes; 202 while it is being made."""
    return pdf(certificate_files.file(context(), certificate_id))


@blp.route("/certificates/<uuid:certificate_id>/record", methods=["GET"])
@needs("sales", "signatory", "office")
@blp.response(200, content_type="application/json", schema={"type": "object"})
def record(certificate_id: UUID) -> Any:
    """The record as it was issued, part by part, byte for byte: `record_sha256` is its SHA-256.

    Whether it still stands, the certificate itself says.
    """
    return as_issued(certificate_files.record(context(), certificate_id))


@blp.route("/certificates/<uuid:certificate_id>/withdrawal", methods=["POST"])
@needs("office")
@blp.arguments(WithdrawalBody)
@blp.response(200, Certificate)
def withdraw(body: dict[str, Any], certificate_id: UUID) -> Any:
    """Withdraw a certificate, with a reason; its record stays."""
    return certificates.withdraw(context(), certificate_id, body["reason"])
