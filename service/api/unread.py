"""Nothing of a request is dropped: what its route does not read is refused, named by its pointer."""

from collections.abc import Iterable, Mapping
from typing import Any

from flask import Flask, current_app
from flask.globals import request_ctx

from schemas.wrong import UNKNOWN
from service.api import json_body
from service.engine.ground.messages import message
from service.errors import BaywrightError, Fault, InvalidInput

BODIES = {"json", "json_or_form", "bytes"}
NO_BODY = Fault("", message("api.no_body"))


def register(app: Flask) -> None:
    """Let no route of `app` drop what it was sent, those of libraries included."""
    app.before_request(_refuse)


def _refuse() -> None:
    asked = request_ctx.request
    if asked.endpoint is None:
        return
    reads: set[str] = getattr(current_app.view_functions[asked.endpoint], "reads", set())
    if "query" not in reads and asked.query_string:
        raise InvalidInput(*_unknown(asked.args or ("",)))
    if not reads & BODIES and _has_body(asked.environ) and asked.get_data(cache=True):
        raise InvalidInput(*_members(asked.get_data(cache=True)))


def _has_body(environ: Mapping[str, Any]) -> bool:
    """Whether a body was announced (RFC 9112, 6): without, none is waited for."""
    announced = environ.get("CONTENT_LENGTH") or "0"
    return announced != "0" or "HTTP_TRANSFER_ENCODING" in environ


def _members(content: bytes) -> Iterable[Fault]:
    """A fault for each member of a JSON object; one for any other body."""
    try:
        value: Any = json_body.read(content)
    except BaywrightError:
        return [NO_BODY]
    return _unknown(value) if isinstance(value, dict) and value else [NO_BODY]


def _unknown(names: Iterable[str]) -> list[Fault]:
    # In the same words as on the routes that read something.
    return json_body.faults({name: [UNKNOWN] for name in names})
