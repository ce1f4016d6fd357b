"""The quotation: what is done, where, why so, for how much, and until when."""

from typing import Any

from service.documents.drawings.section import section
from service.documents.papers.build_ups import build_ups
from service.documents.papers.groups import hold_points
from service.documents.papers.parts import parts
from service.documents.papers.reasons import by_method, cautions
from service.documents.pdf import render
from service.documents.wording.formats import KINDS, Units
from service.engine.plan.price import OF_THE_WORK

Facts = dict[str, Any]


def html(facts: Facts, *, template: str = "quote.html") -> str:
    """The quotation of these facts: of a quote as it is stored, a draft or an offer."""
    cavities = parts(facts)
    return render.to_html(
        template,
        units=Units.of(facts),
        facts=facts,
        parts=cavities,
        build_ups=build_ups(cavities),
        methods=by_method(cavities),
        cautions=cautions(cavities),
        extras=[line for line in facts["takeoff"]["price"]["lines"] if line["code"] not in OF_THE_WORK],
        before=hold_points(point for point in facts["takeoff"]["hold_points"] if _for_the_client(point)),
        section=section,
        kinds=KINDS,
    )


def _for_the_client(point: Facts) -> bool:
    """Whether a client has to see to it: what the crew answers for by itself is on the crew's sheet."""
    return point["stage"] == "before" and not point["crews"]


def pdf(facts: Facts) -> bytes:
    """The quotation as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    written = html(facts)
    # Of a large building it takes room that printing can do with.
    del facts
    return render.to_pdf(written)
