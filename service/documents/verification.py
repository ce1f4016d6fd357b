"""The public page of a certificate: whether its number stands, and whether a file is it.

The file is compared in the reader's browser: only its digest is worked out, and
nothing is sent anywhere.
"""

import base64
import hashlib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape

ASSETS = files("service.documents") / "assets"
STYLE = (ASSETS / "verification.css").read_text(encoding="utf-8")
SCRIPT = (ASSETS / "verification.js").read_text(encoding="utf-8")


def _source(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


# Nothing may run or be fetched but the one style and the one script of this page.
POLICY = (
    f"default-src 'none'; style-src {_source(STYLE)}; script-src {_source(SCRIPT)}; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


@cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("service.documents"),
        autoescape=select_autoescape(),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def html(standing: Mapping[str, Any]) -> str:
    """The page for what the public may know of a number."""
    return _templates().get_template("verification.html").render(it=standing, style=STYLE, script=SCRIPT)
