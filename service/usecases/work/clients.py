"""The client's personal data: apart from what was issued, which holds a digest in its place.

Name, mail and the building's address say who somebody is. They lie in a row of
their own. Everything else names them by a SHA-256 over a random salt and their
canonical JSON (RFC 8785): it shows that they were not changed, and says nothing
of them once data and salt are erased.
"""

import hashlib
import secrets
from collections.abc import Mapping
from typing import Any
from uuid import UUID

import rfc8785

from service.usecases.work.bodies import QuoteBody

ERASED = "(erased)"


def row_of(quote_id: UUID, body: QuoteBody) -> dict[str, Any]:
    """The row that keeps the client of a posted quote."""
    data = {**body["client"], "address": body["site"]["address"]}
    salt = secrets.token_hex(16)
    return {"quote_id": quote_id, "data": data, "salt": salt, "sha256": digest(salt, data)}


def digest(salt: str, data: Mapping[str, Any]) -> str:
    """The salted digest of something personal."""
    return hashlib.sha256(bytes.fromhex(salt) + rfc8785.dumps(dict(data))).hexdigest()


def told_of(quote: Mapping[str, Any]) -> Mapping[str, Any]:
    """What there still is of a stored quote's client: name and address always, be it that they are gone."""
    data: Mapping[str, Any] = quote["client"] or {"name": ERASED, "address": ERASED}
    return data


def shown(quote: Mapping[str, Any]) -> dict[str, Any]:
    """Client and site of a stored quote as they are answered and printed."""
    data = told_of(quote)
    return {
        "client": {name: value for name, value in data.items() if name != "address"},
        "site": {"address": data["address"], **quote["body"]["site"]},
        "client_erased_at": quote["client_erased_at"],
    }


def place_of(photo_id: str, latitude: float, longitude: float) -> dict[str, Any]:
    """Where a photo was taken, in the form in which it is digested."""
    return {"photo": photo_id, "latitude": latitude, "longitude": longitude}
