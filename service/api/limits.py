"""How often anybody may ask: per key, per address where no key is needed, and how many keys may be guessed.

Counted before a key is looked up, so that a refusal costs next to nothing. The
counts live in each worker process by default; several servers share them in Redis.
"""

import hashlib
import math
import time
from http import HTTPStatus
from ipaddress import IPv6Address, ip_address

from flask import Flask, Response, current_app, request
from flask_limiter import ApplicationLimit, Limit, Limiter, RateLimitExceeded
from werkzeug.middleware.proxy_fix import ProxyFix

from service.api import auth, health, requests
from service.api.blueprint import PUBLIC
from service.api.problems import problem
from service.engine.ground.messages import message
from service.settings import Settings

WRONG_KEYS_PER_MINUTE = 30
UNROUTED = "unrouted"
"""Where there is no route: it is counted as any other public page."""
KEYS, ADDRESSES, GUESSES = "keys", "addresses", "guesses"
# What one subscriber is usually given of IPv6: within it an address costs nothing.
IPV6_PREFIX = 64
# Redis answers within a second or is taken for lost.
STORAGE_OPTIONS: dict[str, str | int] = {"socket_timeout": 1, "socket_connect_timeout": 1}


def register(app: Flask, settings: Settings) -> None:
    """Limit the requests to `app`; those of `health` are for its operator and not counted."""
    if settings.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=settings.proxies, x_proto=0)  # type: ignore[method-assign]
    limiter = Limiter(
        address,
        default_limits=[
            Limit(f"{settings.rate_per_minute}/minute", key, KEYS, shared=True, exempt_when=_needs_no_key),
            Limit(
                f"{settings.public_rate_per_minute}/minute",
                address,
                ADDRESSES,
                shared=True,
                exempt_when=lambda: not _needs_no_key(),
            ),
        ],
        application_limits=[
            ApplicationLimit(
                limit_provider=f"{WRONG_KEYS_PER_MINUTE}/minute",
                key_function=address,
                scope=GUESSES,
                exempt_when=_needs_no_key,
                deduct_when=lambda response: _is_a_new_guess(response, limiter),
            )
        ],
        request_identifier=lambda: request.endpoint or UNROUTED,
        strategy="sliding-window-counter",
        storage_uri=settings.rate_storage,
        storage_options=STORAGE_OPTIONS,
        # Without its storage the service goes on, and each process counts for itself.
        in_memory_fallback_enabled=not settings.rate_storage.startswith("memory:"),
        swallow_errors=True,
    )
    limiter.exempt(health.blp)
    limiter.init_app(app)
    for handler in requests.log.handlers:
        limiter.logger.addHandler(handler)
    app.register_error_handler(RateLimitExceeded, lambda error: _refused(error, limiter))


def address() -> str:
    """Where a request comes from."""
    # A Unix socket has none: all who come that way are counted as one.
    sender = request.remote_addr or "socket"
    try:
        found = ip_address(sender)
    except ValueError:
        return sender
    if isinstance(found, IPv6Address):
        return str(int(found) >> (128 - IPV6_PREFIX))
    return sender


def key() -> str:
    """Which key a request came with, right or wrong; its address if with none."""
    sent = auth.sent_key()
    return hashlib.sha256(sent.encode("utf-8", "surrogatepass")).hexdigest() if sent else address()


def _needs_no_key() -> bool:
    view = current_app.view_functions.get(request.endpoint or UNROUTED)
    return PUBLIC in getattr(view, "needs", (PUBLIC,))


def _is_a_new_guess(response: Response, limiter: Limiter) -> bool:
    # The same wrong key sent again is a program that was not told of its new one: it must not
    # lock out everybody else at its address.
    if response.status_code != HTTPStatus.UNAUTHORIZED:
        return False
    by_key = [each for each in limiter.current_limits if f"/{KEYS}/" in each.key]
    return all(each.limit.amount - each.remaining <= 1 for each in by_key)


def _refused(error: RateLimitExceeded, limiter: Limiter) -> Response:
    reached = limiter.current_limit
    wait = max(1, math.ceil(reached.reset_at - time.time())) if reached else 60
    answer = problem(
        HTTPStatus.TOO_MANY_REQUESTS, message("api.too_many", limit=str(error.limit.limit), seconds=wait)
    )
    answer.headers["Retry-After"] = str(wait)
    return answer
