"""The order list: a page that goes to whoever orders the material."""

from typing import Any

from service.documents.pdf import render
from service.documents.wording.formats import Units

Facts = dict[str, Any]


def pdf(facts: Facts) -> bytes:
    """The order list as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    return render.to_pdf(render.to_html("order.html", units=Units.of(facts), facts=facts))
