"""Who is calling: a key in the `Authorization` header, and what it may do."""

import hashlib
from datetime import UTC, datetime

from flask import current_app, g, request

from service.errors import Malformed, NotAllowed, NotIdentified
from service.usecases import keys
from service.usecases.context import Context, Once

LONGEST_IDEMPOTENCY_KEY = 200


def require(roles: tuple[str, ...]) -> None:
    """Identify the caller of this request and see that he holds one of `roles`."""
    scheme, _, token = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not token:
        raise NotIdentified("Send a key: Authorization: Bearer KEY.")
    g.caller = keys.identify(current_app.extensions["database"], token.strip(), datetime.now(UTC))
    if not g.caller.roles & set(roles):
        raise NotAllowed(f"This needs a key with the role {' or '.join(roles)}.")


def context() -> Context:
    """What a use case must know of this request: who calls, when, and whether he called before."""
    return Context(
        database=current_app.extensions["database"],
        settings=current_app.extensions["settings"],
        caller=g.get("caller"),
        now=datetime.now(UTC),
        once=_once(),
    )


def context_once() -> Context:
    """As `context`, for what must not happen twice: the Idempotency-Key is required."""
    if "Idempotency-Key" not in request.headers:
        raise Malformed("Send an Idempotency-Key, so that a repeated request has no second effect.")
    return context()


def _once() -> Once | None:
    key = request.headers.get("Idempotency-Key")
    if key is None or request.method != "POST":
        return None
    if not 1 <= len(key) <= LONGEST_IDEMPOTENCY_KEY or not key.isascii() or not key.isprintable():
        raise Malformed(f"Idempotency-Key must be 1 to {LONGEST_IDEMPOTENCY_KEY} printable ASCII characters.")
    digest = hashlib.sha256(f"{request.method}\n{request.full_path}\n".encode())
    digest.update(request.get_data(cache=True))
    return Once(key=key, request_sha256=digest.hexdigest())
