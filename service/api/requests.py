"""Around every request: an id, a line in the log, and headers that keep browsers careful."""

import json
import logging
import re
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from http import HTTPStatus
from secrets import token_hex
from typing import Any

from flask import Flask, Request, Response, g, request
from flask.globals import app_ctx

from service import tracing
from service.engine.ground.messages import message
from service.errors import NotKnown

SANE_ID = re.compile(r"[A-Za-z0-9._-]{8,64}")

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=()",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
    "Cache-Control": "no-store",
}

_LOWERED = [(name.lower(), (name, value)) for name, value in HEADERS.items()]

FIELDS = ("request_id", "method", "route", "status", "ms", "firm", "kind", "subject", "attempt", "error")
"""What a line in the log may say beside its event."""

METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
OTHER = "other"

log = logging.getLogger("baywright")


class WholeRequest(Request):
    """A request whose body has the length that it announced; reading a shorter one raises ClientDisconnected.

    A server that ends the input where the connection ended says so by `wsgi.input_terminated`, and
    Werkzeug then takes what came for the whole.
    """

    def __init__(self, environ: dict[str, Any], *args: Any, **named: Any) -> None:
        if environ.get("CONTENT_LENGTH"):
            environ.pop("wsgi.input_terminated", None)
        super().__init__(environ, *args, **named)


class Service(Flask):
    """Flask without a coroutine: it need not look for one before each function that it calls."""

    request_class = WholeRequest

    def ensure_sync(self, func: Callable[..., Any]) -> Callable[..., Any]:
        """The function as it is."""
        return func


class JsonLines(logging.Formatter):
    """One JSON object a line, for machines to read."""

    def format(self, record: logging.LogRecord) -> str:
        """The record with what was passed as `extra`, without the framework's own fields."""
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "event": record.getMessage(),
        }
        for name in FIELDS:
            if hasattr(record, name):
                line[name] = getattr(record, name)
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line)

    def formatException(self, ei: Any) -> str:  # noqa: N802 - the library's name
        """Where it happened and what kinds of errors they were, not what they say: it may quote anything."""
        return "\n".join(_trace(ei[1])) if ei[1] else ""


def _trace(error: BaseException) -> Iterator[str]:
    """The errors that led to this one and then itself, each with its places in the code."""
    before = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
    if before is not None:
        yield from _trace(before)
    for place in traceback.extract_tb(error.__traceback__):
        yield f"{place.filename}:{place.lineno} {place.name}"
    # A statement is ours; the values in it are not, and stand apart from it.
    statement = getattr(error, "statement", None)
    yield f"{type(error).__module__}.{type(error).__qualname__}" + (f" [{statement}]" if statement else "")


class _WithRequestId(logging.Filter):
    def filter(self, record: logging.LogRecord) -> bool:
        if not hasattr(record, "request_id"):
            record.request_id = tracing.request_id()
        return True


def _begin() -> None:
    sent, known = request.environ.get("HTTP_X_REQUEST_ID", ""), app_ctx.g
    known.request_id = sent if SANE_ID.fullmatch(sent) else token_hex(16)
    known.began = time.perf_counter()
    tracing.follow(known.request_id)


def refuse_unprintable() -> None:
    """There is nothing at an address that nobody can read; raises NotKnown."""
    if not request.path.isprintable():
        raise NotKnown(message("api.nothing_here"))


def method_of(sent: Request) -> str:
    """The method of a request, for figures and the log: what is none of HTTP's is the sender's text."""
    return sent.method if sent.method in METHODS else OTHER


def route_of(sent: Request) -> str:
    """The route of a request, for figures and the log, never its path: a client's token is part of it."""
    return sent.url_rule.rule if sent.url_rule else OTHER


def _end(response: Response) -> Response:
    response.headers["X-Request-Id"] = g.request_id
    if log.isEnabledFor(logging.INFO):
        _log(response)
    if tracing.is_on():
        _note(response)
    return response


def _log(response: Response) -> None:
    fields = {
        "method": method_of(request),
        "route": route_of(request),
        "status": response.status_code,
        "ms": round((time.perf_counter() - g.began) * 1000, 1),
        "firm": str(g.caller.firm_id) if "caller" in g else None,
    }
    log.info("request", extra=fields)


def _note(response: Response) -> None:
    method, route = method_of(request), route_of(request)
    tracing.note(
        failed=response.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR,
        name=f"{method} {route}",
        http__request__method=method,
        http__route=route,
        http__response__status_code=response.status_code,
        baywright__request_id=g.request_id,
    )


def _traced(app: Any) -> Any:
    """`app` as WSGI has it, each request in a span; it goes on with the caller's, where he names one."""

    def answer(environ: dict[str, Any], start: Any) -> Any:
        with tracing.span("request", follows=environ.get("HTTP_TRACEPARENT"), is_served=True):
            return app(environ, start)

    return answer


def _careful(app: Any) -> Any:
    """`app` as WSGI has it, each answer with those of the headers that it does not bring itself.

    Here they are a list: as an answer's own headers each would be looked at five times more.
    """

    def answer(environ: dict[str, Any], start: Any) -> Any:
        def begin(status: str, headers: list[tuple[str, str]], *error: Any) -> Any:
            own = {name.lower() for name, _ in headers}
            return start(status, headers + [added for name, added in _LOWERED if name not in own], *error)

        return app(environ, begin)

    return answer


def register(app: Flask, level: str) -> None:
    """Give every request of `app` its id, its log line and its headers."""
    tracing.begin()
    app.wsgi_app = _careful(app.wsgi_app)  # type: ignore[method-assign]
    if tracing.is_on():
        app.wsgi_app = _traced(app.wsgi_app)  # type: ignore[method-assign]
    app.before_request(_begin)
    app.after_request(_end)
    app.teardown_request(lambda _error: tracing.follow(None))
    log_lines(level)


def log_lines(level: str) -> None:
    """Log one JSON object a line to stderr."""
    log.setLevel(level)
    log.propagate = False
    if not log.handlers:
        handler = logging.StreamHandler(sys.stderr)
        handler.setFormatter(JsonLines())
        handler.addFilter(_WithRequestId())
        log.addHandler(handler)
