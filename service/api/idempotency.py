"""Requests that must have their effect once: the Idempotency-Key, and answers as they are kept.

The key is a header of the IETF's draft (httpapi, idempotency-key-header). What is
kept is the answer itself, status and headers with it, so that a repeated request
is answered byte for byte, by a later version of the service too.
"""

import hashlib
from collections.abc import Callable
from typing import Any

from flask import Response, g, request
from flask.globals import app_ctx

from service.engine.ground.messages import message
from service.errors import Malformed
from service.usecases.base.context import Once

HEADER = "Idempotency-Key"
LONGEST_KEY = 200
PARAMETER = {
    "in": "header",
    "name": HEADER,
    "schema": {"type": "string", "maxLength": LONGEST_KEY, "pattern": "^[!-~]([ -~]*[!-~])?$"},
    "description": "The same key and body give the first answer again, without a second effect.",
}
REQUIRED = {**PARAMETER, "required": True}


def once() -> Once | None:
    """The mark of this request, if it has one; raises Malformed for one that cannot be."""
    if request.method in ("GET", "HEAD"):
        return None
    key = request.headers.get(HEADER)
    if key is None:
        return None
    if not 1 <= len(key) <= LONGEST_KEY or not key.isascii() or not key.isprintable():
        raise Malformed(message("api.idempotency_key_wrong", header=HEADER, most=LONGEST_KEY))
    digest = hashlib.sha256(f"{request.method}\n{request.full_path}\n".encode())
    digest.update(request.get_data(cache=True))
    return Once(key=key, request_sha256=digest.hexdigest(), shown=_kept)


def required() -> Once:
    """The mark of this request; raises Malformed when there is none."""
    mark = once()
    if mark is None:
        raise Malformed(message("api.idempotency_key_missing", header=HEADER))
    return mark


def answered(show: Callable[[Any], Response], view: Callable[[], Any]) -> Response:
    """The answer that `show` makes of what `view` returns, made once where it is kept."""
    known = app_ctx.g
    known.show, known.kept = show, None
    result = view()
    return known.kept or show(result)


def _kept(result: Any) -> dict[str, Any]:
    response = g.kept = g.show(result)
    return {
        "status": response.status_code,
        "headers": list(response.headers),
        "body": response.get_data(as_text=True),
    }


def again(answer: Any) -> Response:
    """The first answer, from what was kept of it."""
    return Response(answer["body"], answer["status"], [tuple(header) for header in answer["headers"]])
