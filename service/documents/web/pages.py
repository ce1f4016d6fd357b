"""Web pages for people without a key: small, of one piece, with nothing fetched from elsewhere."""

import base64
import hashlib
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

ASSETS = files("service.documents") / "assets"


def asset(name: str) -> str:
    """The text of a packaged asset."""
    return (ASSETS / name).read_text(encoding="utf-8")


def style(name: str) -> str:
    """A packaged style sheet with its font in it, in the place of `{{ font }}`.

    The font is Literata-Medium.ttf with its Latin letters alone, as WOFF2 (pyftsubset).
    """
    font = (ASSETS / "fonts" / "Literata-Medium-latin.woff2").read_bytes()
    return asset(name).replace("{{ font }}", f"data:font/woff2;base64,{base64.b64encode(font).decode()}")


def policy(style: str, script: str | None = None) -> str:
    """A Content-Security-Policy: nothing may run or be fetched but this style and this script."""
    scripts = _source(script) if script else "'none'"
    return (
        f"default-src 'none'; style-src {_source(style)}; font-src data:; script-src {scripts}; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def page(template: str, **facts: Any) -> str:
    """A page from its template; a fact that is missing raises."""
    return _templates().get_template(template).render(**facts)


def _source(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def day(text: str) -> str:
    """The day of an RFC 3339 time, as 25 November 2026: nobody takes the month for the day."""
    moment = datetime.fromisoformat(text)
    return f"{moment.day}\N{NO-BREAK SPACE}{moment:%B %Y}"


@cache
def _templates() -> Environment:
    environment = Environment(
        loader=PackageLoader("service.documents"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["day"] = day
    return environment
