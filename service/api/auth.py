"""Who is calling: a key in the `Authorization` header, and what it may do."""

from datetime import UTC, datetime

from flask import current_app, g, request

from service.api import idempotency
from service.engine.ground.messages import message
from service.errors import NotAllowed, NotIdentified
from service.usecases.base.context import Context
from service.usecases.firm import keys


def require(roles: tuple[str, ...]) -> None:
    """Identify the caller of this request and see that he holds one of `roles`."""
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not token:
        raise NotIdentified(message("api.send_a_key"))
    g.caller = keys.identify(current_app.extensions["database"], token.strip(), datetime.now(UTC))
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
    )


def context_once() -> Context:
    """As `context`, for what must not happen twice: the Idempotency-Key is required."""
    idempotency.required()
    return context()
