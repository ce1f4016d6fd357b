"""A page is of one piece: nothing runs on it or is fetched that its policy does not name by its digest."""

import base64
import hashlib

import pytest
from jinja2 import UndefinedError

from service.documents.web.pages import asset, page, policy, style
from service.documents.wording.formats import Units


def digest(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def test_the_policy_names_style_and_script_by_their_digests() -> None:
    """As the Content Security Policy has it (W3C, Level 3): base64 of SHA-256, in quotes."""
    said = dict(part.strip().split(" ", 1) for part in policy("a {}", "f()").split(";"))
    assert said["default-src"] == "'none'"
    assert said["style-src"] == digest("a {}")
    assert said["script-src"] == digest("f()")
    assert said["frame-ancestors"] == said["form-action"] == said["base-uri"] == "'none'"


def test_no_script_runs_where_there_is_none() -> None:
    assert "script-src 'none'" in policy("a {}")


def test_a_style_has_its_font_in_it() -> None:
    text = style("verification.css")
    assert "{{ font }}" not in text
    assert "url(data:font/woff2;base64," in text.replace('"', "").replace("'", "")
    assert "{{ font }}" in asset("verification.css")


@pytest.mark.parametrize(
    ("language", "said"), [("en", "No certificate has this number"), ("de", "Diese Nummer hat keine")]
)
def test_a_page_is_in_the_language_of_its_reader(language: str, said: str) -> None:
    text = page("unknown.html", Units("eu", language), style="")
    assert f'<html lang="{language}">' in text
    assert said in text


def test_a_fact_that_is_missing_is_found() -> None:
    with pytest.raises(UndefinedError):
        page("closed.html", Units("eu"), style="")
