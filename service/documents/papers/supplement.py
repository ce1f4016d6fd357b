"""A supplement to a quotation: what came up on the way, for how much, and until when.

It is the quotation's own paper, with what the supplement adds in the place of the whole.
"""

from typing import Any

from service.documents.papers import quote
from service.documents.pdf import render

Facts = dict[str, Any]


def html(facts: Facts) -> str:
    """The supplement of these facts: those of a quotation, and what the supplement says of itself."""
    return quote.html(facts, template="supplement.html")


def pdf(facts: Facts) -> bytes:
    """The supplement as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    written = html(facts)
    # Of a large building it takes room that printing can do with.
    del facts
    return render.to_pdf(written)
