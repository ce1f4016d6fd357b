"""The quotation: what is done, where, why so, for how much, and until when."""

from typing import Any

from service.documents.drawings.bars import resistances
from service.documents.drawings.section import section
from service.documents.papers.groups import hold_points
from service.documents.papers.parts import parts
from service.documents.papers.sources import sources
from service.documents.pdf import render
from service.documents.wording.formats import Units

Facts = dict[str, Any]


def html(facts: Facts) -> str:
    """The quotation of these facts: of a quote as it is stored, a draft or an offer."""
    units = Units(facts["market"], facts["language"])
    return render.to_html(
        "quote.html",
        units=units,
        facts=facts,
        parts=parts(facts),
        before=hold_points(point for point in facts["takeoff"]["hold_points"] if point["stage"] == "before"),
        sources=sources(facts["takeoff"], units),
        section=section,
        resistances=resistances,
    )


def pdf(facts: Facts) -> bytes:
    """The quotation as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    return render.to_pdf(html(facts))
