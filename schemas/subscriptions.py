"""Subscriptions as the office posts them."""

import re
from typing import Any
from urllib.parse import urlsplit

from marshmallow import Schema, fields, validate

from schemas.fields import Several, Whole, one_of
from schemas.wrong import wrong
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import EventKind

LONGEST_URL = 500
# RFC 3986: what may stand in an address, without a user before the host and a fragment behind all.
HTTPS_URL = re.compile(
    r"https://[A-Za-z0-9.\-\[\]:]+(/[A-Za-z0-9._~/%!$&'()*+,;=:@-]*)?(\?[!$-;=?-Z_a-z~]*)?"
)


class HttpsUrl(fields.String):
    """An address over https, without a user and without a fragment."""

    def __init__(self, **options: Any) -> None:
        super().__init__(validate=validate.Length(max=LONGEST_URL), **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **options: Any) -> str:
        text: str = super()._deserialize(value, attr, data, **options)
        if not HTTPS_URL.fullmatch(text) or not _has_host(text):
            raise wrong(message("schemas.no_https_url"))
        return text


def _has_host(text: str) -> bool:
    try:
        parts = urlsplit(text)
        return bool(parts.hostname) and parts.port != 0
    except ValueError:
        return False


class SubscriptionBody(Schema):
    """Where the firm's own system is told of what."""

    url = HttpsUrl(required=True, metadata={"description": "Where events are posted to, over https."})
    events = Several(
        one_of(EventKind),
        least=1,
        most=len(EventKind),
        required=True,
        metadata={"description": "What is delivered."},
    )


class SecretBody(Schema):
    """How a secret gives way to another."""

    grace_hours = Whole(
        least=0,
        most=168,
        load_default=24,
        metadata={"description": "How long deliveries are signed by the old secret too (h)."},
    )
