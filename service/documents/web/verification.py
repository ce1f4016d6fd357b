"""The public page of a certificate: whether its number stands, and whether a file is it.

The file is compared in the reader's browser: only its digest is worked out, and
nothing is sent anywhere.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from service.documents.web.outcome import outcome
from service.documents.web.pages import asset, page, policy, style
from service.documents.wording.formats import Units

STYLE = style("verification.css")
SCRIPT = asset("verification.js")
POLICY = policy(STYLE, SCRIPT)


def html(standing: Mapping[str, Any], asked_at: datetime, *, language: str) -> str:
    """The page for what the public may know of a number, as it was when it was asked for (UTC).

    Its days and hours are those of the firm's place, as on its papers.
    """
    units = Units("eu", language, standing["time_zone"])
    return page(
        "verification.html",
        units,
        it=standing,
        told=outcome(standing, units),
        asked_at=asked_at.isoformat(),
        style=STYLE,
        script=SCRIPT,
    )


def unknown(*, language: str) -> str:
    """The page for a number that no certificate has."""
    return page("unknown.html", Units("eu", language), style=STYLE)
