"""The order list: a page that goes to whoever orders the material."""

from typing import Any

from service.documents.pdf import render
from service.documents.wording.formats import Units

Facts = dict[str, Any]


def html(facts: Facts) -> str:
    """The order list of these facts: a material's bags as planned, come, there and to be ordered."""
    return render.to_html("order.html", units=Units.of(facts), facts=facts)


def pdf(facts: Facts) -> bytes:
    """The order list as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    return render.to_pdf(html(facts))
