"""Two bars to scale: the resistances that make up an element's, and the kilograms planned and blown."""

from collections.abc import Sequence
from typing import Any

from markupsafe import Markup

from service.documents.drawings.drawing import BAND, BAND_LINE, FILL, INK, PAPER, block, line, picture, words
from service.documents.wording.formats import Units

RESISTANCES_MM = 80.0
MASSES_MM = 78.0
BAR_MM = 4.2
LETTERED_MM = 9.0
"""A share of a bar that is at least so long has room for its figure."""

FILLS = {"fill": FILL, "layer": PAPER, "outer_surface": BAND, "inner_surface": BAND}


def resistances(courses: Sequence[dict[str, Any]], *, units: Units, title: str) -> Markup:
    """Every course's share of the element's resistance, from the outside on the left to the inside."""
    per_unit = (RESISTANCES_MM - 1) / sum(each["resistance_m2k_w"] for each in courses)
    marks, left = [], 0.5
    for each in courses:
        length = each["resistance_m2k_w"] * per_unit
        marks.append(block(left, 0.5, length, BAR_MM, fill=FILLS[each["kind"]], stroke=INK, line_width=0.15))
        if length >= LETTERED_MM:
            figure = units.resistance(each["resistance_m2k_w"]).number
            marks.append(words(left + length / 2, 0.5 + BAR_MM / 2 + 0.9, figure))
        left += length
    return picture(*marks, width_mm=RESISTANCES_MM, height_mm=BAR_MM + 1, title=title)


def masses(planned_kg: float, blown_kg: float, *, units: Units, planned: str, title: str) -> Markup:
    """What was blown as a bar from nothing on, with what was `planned` as a line across it."""
    top = 4.0
    per_kg = (MASSES_MM - 1) / max(planned_kg, blown_kg)
    at = 0.5 + planned_kg * per_kg
    label = f"{planned} {units.mass(planned_kg)}"
    anchor = "end" if at > MASSES_MM / 2 else "start"
    return picture(
        block(0.5, top, blown_kg * per_kg, BAR_MM, fill=FILL, stroke=INK, line_width=0.15),
        words(2, top + BAR_MM / 2 + 0.9, units.mass(blown_kg), anchor="start"),
        line(at, top - 1.2, at, top + BAR_MM + 0.8, stroke=BAND_LINE, width=0.4),
        words(at, top - 1.8, label, anchor=anchor, fill=BAND_LINE),
        width_mm=MASSES_MM,
        height_mm=top + BAR_MM + 1.2,
        title=title,
    )
