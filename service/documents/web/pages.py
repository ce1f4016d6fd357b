"""Web pages for people without a key: small, of one piece, with nothing fetched from elsewhere."""

import base64
import hashlib
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from service.documents.wording.formats import Units
from service.documents.wording.languages import catalogue

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


def policy(style: str, script: str | None = None, *, form: bool = False) -> str:
    """A Content-Security-Policy: nothing may run or be fetched but this style and this script.

    A form goes nowhere, or only to where the page came from.
    """
    scripts = _source(script) if script else "'none'"
    target = "'self'" if form else "'none'"
    return (
        f"default-src 'none'; style-src {_source(style)}; font-src data:; script-src {scripts}; "
        f"base-uri 'none'; form-action {target}; frame-ancestors 'none'"
    )


def page(template: str, units: Units, **facts: Any) -> str:
    """A page from its template, as the reader of `units` expects it; a fact that is missing raises."""
    return _templates(units.language.code).get_template(template).render(u=units, **facts)


def _source(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


@cache
def _templates(language: str) -> Environment:
    environment = Environment(
        loader=PackageLoader("service.documents"),
        autoescape=True,
        undefined=StrictUndefined,
        extensions=["jinja2.ext.i18n"],
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.policies["ext.i18n.trimmed"] = True
    environment.install_gettext_translations(catalogue(language), newstyle=True)  # type: ignore[attr-defined]
    return environment
