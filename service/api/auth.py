"""Who is calling: a key in the `Authorization` header, and what it may do."""

import hmac
from datetime import UTC, datetime

from flask import current_app, g, request

from service.api import conditional, idempotency
from service.engine.ground.messages import message
from service.errors import NotAllowed, NotIdentified, NotKnown
from service.usecases.base.context import Context
from service.usecases.firm import keys


def sent_key() -> str | None:
    """The key that this request came with, right or wrong: the same however its header is spaced."""
    scheme, _, token = request.environ.get("HTTP_AUTHORIZATION", "").partition(" ")
    return token.strip() or None if scheme.lower() == "bearer" else None


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
    g.caller = keys.identify(current_app.extensions["database"], token, datetime.now(UTC))
    if not g.caller.roles & set(roles):
        raise NotAllowed(message("api.needs_role", roles=tuple(roles)))


def context() -> Context:
    """What a use case must know of this request: who calls, when, and whether he called before."""
    return Context(
        database=current_app.extensions["database"],
        settings=current_app.extensions["settings"],
        caller=g.get("caller"),
        now=datetime.now(UTC),
        once=idempotency.once(),
        has=conditional.digest_had(),
    )


def context_once() -> Context:
    """As `context`, for what must not happen twice: the Idempotency-Key is required."""
    idempotency.required()
    return context()
