"""Web pages for people without a key: small, of one piece, with nothing fetched from elsewhere."""

import base64
import hashlib
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

ASSETS = files("service.documents") / "assets"


def asset(name: str) -> str:
    """The text of a packaged asset."""
    return (ASSETS / name).read_text(encoding="utf-8")


def policy(style: str, script: str | None = None) -> str:
    """A Content-Security-Policy: nothing may run or be fetched but this style and this script."""
    scripts = _source(script) if script else "'none'"
    return (
        f"default-src 'none'; style-src {_source(style)}; script-src {scripts}; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def page(template: str, **facts: Any) -> str:
    """A page from its template; a fact that is missing raises."""
    return _templates().get_template(template).render(**facts)


def _source(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


@cache
def _templates() -> Environment:
    return Environment(
        loader=PackageLoader("service.documents"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
