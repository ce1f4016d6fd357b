"""The quotation: what is done, where, why so, for how much, and until when."""

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from service.documents import render
from service.documents.parts import parts
from service.documents.section import section
from service.documents.sources import sources

Facts = dict[str, Any]


def html(facts: Facts) -> str:
    """The quotation of these facts: of a quote as it is stored, a draft or an offer."""
    return render.to_html(
        "quote.html",
        market=facts["market"],
        facts=facts,
        parts=parts(facts),
        before=_by_text(point for point in facts["takeoff"]["hold_points"] if point["stage"] == "before"),
        sources=sources(facts["takeoff"]),
        section=section,
    )


def pdf(facts: Facts) -> bytes:
    """The quotation as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    return render.to_pdf(html(facts))


def _by_text(points: Iterable[dict[str, Any]]) -> list[tuple[str, list[dict[str, Any]]]]:
    """Each condition once, with the hold points that ask for it."""
    return [(text, list(same)) for text, same in groupby(points, key=lambda point: point["text"])]
