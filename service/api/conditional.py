"""Conditional requests: entity tags, If-Match and If-None-Match (RFC 9110, section 13)."""

import base64
import hashlib
import re
from collections.abc import Mapping
from http import HTTPStatus
from io import BufferedRandom
from typing import Any

from flask import Response, make_response, request, send_file

from service.engine.ground.messages import message
from service.errors import Malformed, PreconditionMissing
from service.usecases.base.json import to_json, written
from service.usecases.work.rendering import Awaited

# RFC 9110, 8.8.3. Weak tags match nothing: If-Match compares strongly (13.1.1).
TAG = r'(?:W/)?"[\x21\x23-\x7e\x80-\xff]*"'
TAGS = re.compile(rf"[ \t]*{TAG}(?:[ \t]*,[ \t]*{TAG})*[ \t]*")
STRONG = re.compile(r'(?<!W/)"([\x21\x23-\x7e\x80-\xff]*)"')
VERSION = re.compile(r'(?<!W/)"([0-9]{1,9})(?:-[0-9a-f]+)?"')

WORKED_OUT = frozenset(("takeoff", "cavities"))
# Of the request, by which an answer to a GET may be another than the whole.
CONDITIONS = frozenset(
    (
        "HTTP_IF_MATCH",
        "HTTP_IF_NONE_MATCH",
        "HTTP_IF_MODIFIED_SINCE",
        "HTTP_IF_UNMODIFIED_SINCE",
        "HTTP_RANGE",
    )
)

# For the OpenAPI document.
IF_MATCH = {
    "in": "header",
    "name": "If-Match",
    "schema": {"type": "string", "pattern": r'^(W/)?"[!#-~]*"(, ?(W/)?"[!#-~]*")*$'},
    "description": "The ETag of what you read: 412 when it was changed since.",
}
STALE = {"412": {"$ref": "#/components/responses/PRECONDITION_FAILED"}}
MISSING = {"428": {"$ref": "#/components/responses/PRECONDITION_REQUIRED"}}


def version_tag(thing: Mapping[str, Any]) -> dict[str, str]:
    """The header that names the version of what can change, and what is shown of it.

    A day that passes can change what is shown without a new version: an offer lapses. What was worked out
    can not.
    """
    head = {name: value for name, value in thing.items() if name not in WORKED_OUT}
    shown = hashlib.sha256(written(head, sorted_by_name=True)).hexdigest()
    return {"ETag": f'"{thing["version"]}-{shown[:16]}"'}


def tags_named() -> frozenset[str]:
    """What the strong tags of If-Match say; raises PreconditionMissing without any."""
    sent = request.headers.get("If-Match")
    if sent is None:
        raise PreconditionMissing(message("api.if_match_missing"))
    _check_tags(sent)
    return frozenset(STRONG.findall(sent))


def versions_named() -> frozenset[int]:
    """The versions that the caller means to change; raises PreconditionMissing when he names none."""
    seen = versions_seen()
    if seen is None:
        raise PreconditionMissing(message("api.if_match_missing"))
    return seen


def versions_seen() -> frozenset[int] | None:
    """The versions of If-Match; None without it. A tag that was never one of ours matches nothing."""
    sent = request.headers.get("If-Match")
    if sent is None:
        return None
    _check_tags(sent)
    return frozenset(int(version) for version in VERSION.findall(sent))


def _check_tags(sent: str) -> None:
    if sent.strip() == "*":
        raise PreconditionMissing(message("api.if_match_any"))
    if not TAGS.fullmatch(sent):
        raise Malformed(message("api.if_match_wrong"))


def unchanged(response: Response) -> Response:
    """Give every answer to a GET its tag, and send it only to who has another one."""
    if response.status_code != HTTPStatus.OK or request.method not in ("GET", "HEAD"):
        return response
    response.add_etag()
    if not CONDITIONS.isdisjoint(request.environ):
        response.make_conditional(request)
    return response


def pdf(file: Mapping[str, Any] | Awaited) -> Response:
    """A stored document; else 202, with what it waits for and when to ask again."""
    if isinstance(file, Awaited):
        return awaited(file)
    return stored(file, "application/pdf", f"{file['kind'].replace('_', '-')}.pdf")


def awaited(file: Awaited) -> Response:
    """The answer in the place of a document that is not there yet."""
    response = make_response(to_json(file), HTTPStatus.ACCEPTED)
    response.headers["Retry-After"] = str(file.retry_after_s)
    return response


def archived(number: str, file: BufferedRandom) -> Response:
    """An archive that was made for this answer and goes with it; the same content gives the same tag."""
    tag = hashlib.file_digest(file, "sha256").hexdigest()
    file.seek(0)
    response = send_file(
        file, mimetype="application/zip", as_attachment=True, download_name=f"{number}.zip", etag=tag
    )
    response.headers["Cache-Control"] = "private, no-cache"
    return response


def as_issued(record: bytes) -> Response:
    """A canonical record, with the digest that whoever keeps it holds it to (RFC 9530)."""
    sha256 = hashlib.sha256(record)
    response = stored({"content": record, "sha256": sha256.hexdigest()}, "application/json", "record.json")
    response.headers["Repr-Digest"] = f"sha-256=:{base64.b64encode(sha256.digest()).decode()}:"
    return response


def attached(content: bytes, media_type: str, name: str) -> Response:
    """A file that was made for this answer, to be kept under a name."""
    response = make_response(content)
    response.content_type = media_type
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def digest_had() -> str | None:
    """The digest of the file that this request is conditional on; None where it has other conditions too."""
    sent = request.environ
    if "HTTP_IF_NONE_MATCH" not in sent or len(CONDITIONS.intersection(sent)) > 1:
        return None
    named = STRONG.findall(sent["HTTP_IF_NONE_MATCH"])
    return named[0] if len(named) == 1 else None


def stored(file: Mapping[str, Any], media_type: str, name: str) -> Response:
    """A stored file, with its digest as a strong tag: who has it already is not sent it again."""
    had = file["content"] is None
    response = Response(status=HTTPStatus.NOT_MODIFIED) if had else Response(file["content"])
    response.content_type = media_type
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    response.headers["Cache-Control"] = "private, no-cache"
    response.set_etag(file["sha256"])
    return response
