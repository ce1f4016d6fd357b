"""The public page of a certificate: whether its number stands, and whether a file is it.

The file is compared in the reader's browser: only its digest is worked out, and
nothing is sent anywhere.
"""

from collections.abc import Mapping
from typing import Any

from service.documents.pages import asset, page, policy

STYLE = asset("verification.css")
SCRIPT = asset("verification.js")
POLICY = policy(STYLE, SCRIPT)


def html(standing: Mapping[str, Any]) -> str:
    """The page for what the public may know of a number."""
    return page("verification.html", it=standing, style=STYLE, script=SCRIPT)
