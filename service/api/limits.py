"""How often anybody may ask: per key, per address where no key is needed, and how many keys may be guessed.

Counted before a key is looked up, so that a refusal costs next to nothing. The
counts live in each worker process by default; several servers share them in Redis.
"""

import hashlib
import math
from functools import lru_cache
from http import HTTPStatus
from ipaddress import IPv6Address, ip_address

from flask import Flask, Response, g, request
from flask.globals import request_ctx
from werkzeug.middleware.proxy_fix import ProxyFix

from service.api import auth, health
from service.api.blueprint import PUBLIC
from service.api.counting import WINDOW_S, Counts, counts
from service.api.problems import problem
from service.engine.ground.messages import message
from service.settings import Settings

WRONG_KEYS_PER_MINUTE = 30
KEYS, ADDRESSES, GUESSES = "keys", "addresses", "guesses"
# What one subscriber is usually given of IPv6: within it an address costs nothing.
IPV6_PREFIX = 64


def register(app: Flask, settings: Settings) -> None:
    """Limit the requests to `app`; those of `health` are for its operator and not counted."""
    if settings.proxies:
        app.wsgi_app = ProxyFix(app.wsgi_app, x_for=settings.proxies, x_proto=0)  # type: ignore[method-assign]
    counted = counts(settings.rate_storage)
    most = {
        KEYS: settings.rate_per_minute,
        ADDRESSES: settings.public_rate_per_minute,
        GUESSES: WRONG_KEYS_PER_MINUTE,
    }

    audiences: dict[str | None, str | None] = {}

    @app.before_request
    def count() -> Response | None:
        endpoint = request_ctx.request.endpoint
        if endpoint not in audiences:
            audiences[endpoint] = _counted_by(app, endpoint)
        counts_by, sender = audiences[endpoint], address()
        if counts_by is None:
            return None
        if counts_by == ADDRESSES:
            return _refused_by(counted, most, ADDRESSES, sender)
        if not counted.left(f"{GUESSES}/{sender}", most[GUESSES]):
            return _refused(counted, GUESSES, sender, most[GUESSES])
        sender = g.counted_as = key()
        return _refused_by(counted, most, KEYS, sender)

    @app.after_request
    def count_guesses(response: Response) -> Response:
        # The same wrong key sent again is a program that was not told of its new one: it must not
        # lock out everybody else at its address.
        if response.status_code == HTTPStatus.UNAUTHORIZED and "counted_as" in g:
            name = f"{KEYS}/{g.counted_as}"
            if most[KEYS] - counted.left(name, most[KEYS]) <= 1:
                counted.hit(f"{GUESSES}/{address()}", most[GUESSES])
        return response


def address() -> str:
    """Where a request comes from."""
    # A Unix socket has none: all who come that way are counted as one.
    return _counted_as(request.remote_addr or "socket")


@lru_cache(maxsize=1000)
def _counted_as(sender: str) -> str:
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


def _counted_by(app: Flask, endpoint: str | None) -> str | None:
    """By what those are counted who ask for an endpoint; None where nobody is."""
    if (endpoint or "").partition(".")[0] == health.blp.name:
        return None
    view = app.view_functions.get(endpoint or "")
    return ADDRESSES if PUBLIC in getattr(view, "needs", (PUBLIC,)) else KEYS


def _refused_by(counted: Counts, most: dict[str, int], kind: str, name: str) -> Response | None:
    if counted.hit(f"{kind}/{name}", most[kind]):
        return None
    return _refused(counted, kind, name, most[kind])


def _refused(counted: Counts, kind: str, name: str, most: int) -> Response:
    wait = min(WINDOW_S, max(1, math.ceil(counted.wait_s(f"{kind}/{name}", most))))
    answer = problem(
        HTTPStatus.TOO_MANY_REQUESTS,
        message("api.too_many", limit=f"{most} per 1 minute", seconds=wait),
    )
    answer.headers["Retry-After"] = str(wait)
    return answer
