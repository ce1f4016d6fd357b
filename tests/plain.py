"""Papers with their whole text and nothing of their looks, for tests that are not about papers.

Template, fonts, metadata, what is attached and the renderer are the real ones; only what a page costs most
for, its tables and drawings, is left out. The long form prints everything as it is.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from typing import Any
from unittest.mock import patch
from xml.etree import ElementTree

from service.documents.pdf import render
from tests.long import LONG


@contextmanager
def plain_papers() -> Iterator[None]:
    """Papers are printed so while the block runs; in the long form as ever."""
    to_pdf = render.to_pdf

    def printed(html: str, **means: Any) -> bytes:
        return to_pdf(_text_alone(html), **means)

    with patch.object(render, "to_pdf", to_pdf if LONG else printed):
        yield


def _text_alone(html: str) -> str:
    """The page with its text in one paragraph; what is no XML stays, for the renderer to refuse."""
    try:
        page = ElementTree.fromstring(html)
    except ElementTree.ParseError:
        return html
    body = page.find("body")
    assert body is not None
    begin, end = html.index("<body"), html.index("</body>")
    text = " ".join(" ".join(body.itertext()).split())
    return f"{html[:begin]}<body><p>{escape(text)}</p>{html[end:]}"
