"""Who is calling: a key in the `Authorization` header, and what it may do."""

import hmac
from datetime import UTC, datetime

from flask import Flask, current_app, g, request
from flask.globals import app_ctx

from service.api import conditional, idempotency
from service.engine.ground.messages import message
from service.errors import NotAllowed, NotIdentified, NotKnown
from service.usecases.base.context import Context
from service.usecases.firm import keys


def sent_key() -> str | None:
    """The key that this request came with, right or wrong: the same however its header is spaced."""
    scheme, _, token = request.environ.get("HTTP_AUTHORIZATION", "").partition(" ")
    return token.strip() or None if scheme.lower() == "bearer" else None


def register(app: Flask) -> None:
    """End with each request of `app` what was begun for it and not gone on with."""

    @app.teardown_request
    def end(_error: BaseException | None) -> None:
        if begun := g.get("begun"):
            begun.end()


def require_operator() -> None:
    """See that this request comes from whoever runs the service: by the key of its settings."""
    wanted = current_app.extensions["settings"].metrics_key
    if not wanted:
        raise NotKnown(message("api.nothing_here"))
    if not hmac.compare_digest((sent_key() or "").encode(), wanted.encode()):
        raise NotIdentified(message("api.not_the_operator"))


def require(roles: tuple[str, ...]) -> None:
    """Identify the caller of this request and see that he holds one of `roles`."""
    token = sent_key()
    if not token:
        raise NotIdentified(message("api.send_a_key"))
    known, database, now = app_ctx.g, app_ctx.app.extensions["database"], datetime.now(UTC)
    if request.method in ("GET", "HEAD"):
        known.caller, known.begun = keys.identified(database, token, now)
    else:
        known.caller = keys.identify(database, token, now)
    if known.caller.roles.isdisjoint(roles):
        raise NotAllowed(message("api.needs_role", roles=tuple(roles)))


def context() -> Context:
    """What a use case must know of this request: who calls, when, and whether he called before."""
    known, parts = app_ctx.g, app_ctx.app.extensions
    return Context(
        database=parts["database"],
        settings=parts["settings"],
        caller=known.get("caller"),
        now=datetime.now(UTC),
        once=idempotency.once(),
        has=conditional.digest_had(),
        begun=known.get("begun"),
    )


def context_once() -> Context:
    """As `context`, for what must not happen twice: the Idempotency-Key is required."""
    idempotency.required()
    return context()
