"""Conditional requests: entity tags, If-Match and If-None-Match (RFC 9110, section 13)."""

from collections.abc import Mapping
from typing import Any

from flask import Response, make_response, request

from service.errors import PreconditionMissing, Stale


def version_tag(thing: Mapping[str, Any]) -> dict[str, str]:
    """The header that names the version of what can change."""
    return {"ETag": f'"{thing["version"]}"'}


def version_seen() -> int:
    """The version that the caller means to change; raises PreconditionMissing or Stale."""
    sent = request.headers.get("If-Match")
    if sent is None:
        raise PreconditionMissing("Send If-Match with the ETag of what you read.")
    tag = sent.strip().removeprefix('"').removesuffix('"')
    if not tag.isdigit():
        raise Stale("If-Match names no version of this.")
    return int(tag)


def pdf(file: Mapping[str, Any], name: str) -> Response:
    """A stored document."""
    return stored(file, "application/pdf", f"{name}.pdf")


def stored(file: Mapping[str, Any], media_type: str, name: str) -> Response:
    """A stored file, with its digest as a strong tag: who has it already is not sent it again."""
    response = make_response(bytes(file["content"]))
    response.content_type = media_type
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    response.headers["Cache-Control"] = "private, no-cache"
    response.set_etag(file["sha256"])
    response.make_conditional(request)
    return response
