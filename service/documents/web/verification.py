"""The public page of a certificate: whether its number stands, and whether a file is it.

The file is compared in the reader's browser: only its digest is worked out, and
nothing is sent anywhere.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from service.documents.web.outcome import flawed, lines
from service.documents.web.pages import asset, page, policy, style

STYLE = style("verification.css")
SCRIPT = asset("verification.js")
POLICY = policy(STYLE, SCRIPT)


def html(standing: Mapping[str, Any], asked_at: datetime) -> str:
    """The page for what the public may know of a number, as it was when it was asked for (UTC)."""
    told = lines(standing)
    return page(
        "verification.html",
        it=standing,
        told=told,
        flawed=flawed(told),
        asked_at=asked_at,
        style=STYLE,
        script=SCRIPT,
    )


def unknown() -> str:
    """The page for a number that no certificate has."""
    return page("unknown.html", style=STYLE)
