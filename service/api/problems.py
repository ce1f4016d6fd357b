"""Errors as answers: one shape everywhere, `application/problem+json` (RFC 9457).

This is the only place that joins the exception tree to HTTP. The framework's own
errors take the same shape. An unexpected error is logged and tells the caller
its request id, nothing else.
"""

import logging
from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from flask import Flask, Response, current_app, g, json, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from service import errors
from service.api import idempotency, survey_files
from service.api.problem_kinds import KINDS, Kind, kind_of
from service.api.requests import route_of
from service.documents.wording.sentences import in_words
from service.engine.ground.figures import rounded
from service.engine.ground.messages import Message, message, to_plain

log = logging.getLogger("baywright")

STATUS: Mapping[type[errors.BaywrightError], HTTPStatus] = {
    errors.InvalidInput: HTTPStatus.UNPROCESSABLE_ENTITY,
    errors.Malformed: HTTPStatus.BAD_REQUEST,
    errors.WrongKind: HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
    errors.NotKnown: HTTPStatus.NOT_FOUND,
    errors.Erased: HTTPStatus.GONE,
    errors.NotAllowed: HTTPStatus.FORBIDDEN,
    errors.NotIdentified: HTTPStatus.UNAUTHORIZED,
    errors.ConditionsUnmet: HTTPStatus.CONFLICT,
    errors.Conflict: HTTPStatus.CONFLICT,
    errors.Stale: HTTPStatus.PRECONDITION_FAILED,
    errors.PreconditionMissing: HTTPStatus.PRECONDITION_REQUIRED,
    errors.GivenUp: HTTPStatus.SERVICE_UNAVAILABLE,
    errors.SettingsWrong: HTTPStatus.SERVICE_UNAVAILABLE,
    errors.Unavailable: HTTPStatus.SERVICE_UNAVAILABLE,
}
RETRY_AFTER_S = 2
CONTENT_TYPE = "application/problem+json"


def body_of(
    status: int, detail: str, request_id: str, *, kind: Kind | None = None, **more: Any
) -> dict[str, Any]:
    """The one shape; `more` are further members of it."""
    return {
        "type": _address(kind or kind_of(status)),
        "title": HTTPStatus(status).phrase,
        "status": int(status),
        "detail": detail,
        "instance": f"urn:request:{request_id}",
        **more,
    }


def _address(kind: Kind | None) -> str:
    """Where a kind's page is for everybody; without a public address, where it is on this server."""
    return f"{current_app.extensions['settings'].public_url}{kind.path}" if kind else "about:blank"


def problem(status: int, detail: str | errors.Sayable, **more: Any) -> Response:
    """An answer in the one shape; `more` are further members of it."""
    said = _said(detail)
    body = body_of(status, said.pop("detail"), g.request_id, **said, **more)
    response = Response(json.dumps(rounded(body)), status=status, content_type=CONTENT_TYPE)
    if status == HTTPStatus.UNAUTHORIZED:
        response.headers["WWW-Authenticate"] = "Bearer"
    return response


def from_ours(error: errors.BaywrightError) -> Response:
    """The answer to an error of our own tree."""
    if isinstance(error, errors.Repeated):
        return idempotency.again(error.answer)
    status = next((STATUS[kind] for kind in type(error).__mro__ if kind in STATUS), None)
    if status is None:
        return from_unexpected(error)
    if status == HTTPStatus.SERVICE_UNAVAILABLE:
        log.error("%s (%s)", _said(error.detail)["detail"], _cause(error), extra=_where())
    more: dict[str, Any] = {}
    if isinstance(error, errors.InvalidInput):
        error = survey_files.located(error)
        more["errors"] = [{"pointer": fault.pointer, **_said(fault.detail)} for fault in error.faults]
    if isinstance(error, errors.ConditionsUnmet):
        more |= {"conditions": error.conditions, "kind": KINDS["conditions-unmet"]}
    response = problem(status, _on_the_whole(error), **more)
    if isinstance(error, errors.Unavailable):
        response.headers["Retry-After"] = str(RETRY_AFTER_S)
    return response


def _on_the_whole(error: errors.BaywrightError) -> str | errors.Sayable:
    """What is wrong in one sentence: of fields the first that is, by its name."""
    if not isinstance(error, errors.InvalidInput) or not error.faults or not error.faults[0].pointer:
        return error.detail
    first, others = error.faults[0], len(error.faults) - 1
    assert isinstance(first.detail, str | Message)
    if not others:
        return message("api.field_wrong", field=first.pointer, said=first.detail)
    return message("api.fields_wrong", field=first.pointer, said=first.detail, count=others)


def from_http(error: HTTPException) -> Response:
    """The answer to one of the framework's own errors."""
    if error.code is None or error.code < HTTPStatus.BAD_REQUEST:
        return error.get_response()  # type: ignore[return-value]
    response = problem(error.code, _of_http(error.code) or error.description or HTTPStatus(error.code).phrase)
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        response.headers["Allow"] = ", ".join(sorted(error.valid_methods))
    return response


def _of_http(status: int) -> Message | None:
    """What we say of the framework's own errors, in the reader's language; of the rare ones they do."""
    match status:
        case HTTPStatus.NOT_FOUND:
            return message("api.nothing_here")
        case HTTPStatus.METHOD_NOT_ALLOWED:
            return message("api.another_method", method=request.method)
        case HTTPStatus.REQUEST_ENTITY_TOO_LARGE if request.max_content_length:
            return message("api.body_too_large", most=request.max_content_length)
    return None


def from_unexpected(error: Exception) -> Response:
    """The answer to what nobody foresaw: the request id, and nothing of what happened."""
    log.error("unexpected error", exc_info=error, extra=_where())
    return problem(
        HTTPStatus.INTERNAL_SERVER_ERROR,
        message("api.went_wrong", request=g.request_id),
    )


def _said(detail: str | errors.Sayable) -> dict[str, Any]:
    """The words, and beside them the code and the values that they were made of."""
    if isinstance(detail, str):
        return {"detail": detail}
    assert isinstance(detail, Message)
    return {"detail": in_words(detail), **to_plain(detail)}


def _where() -> dict[str, str | None]:
    return {"route": route_of(request)}


def _cause(error: Exception) -> str:
    cause = error.__cause__
    return str(getattr(cause, "orig", cause) or type(error).__name__)


def register(app: Flask) -> None:
    """Turn every error of `app` into a problem."""
    app.register_error_handler(errors.BaywrightError, from_ours)
    app.register_error_handler(HTTPException, from_http)
    app.register_error_handler(Exception, from_unexpected)
