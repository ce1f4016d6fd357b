"""Bars to scale: lengths are worked out by hand from the figures."""

import pytest

from service.documents.drawings.bars import masses, resistances
from service.documents.wording.formats import Units
from tests.service.documents.reading import lettering, named

COURSES = [
    {"kind": "outer_surface", "name": "", "resistance_m2k_w": 0.04},
    {"kind": "layer", "name": "board", "resistance_m2k_w": 0.83},
    {"kind": "fill", "name": "", "resistance_m2k_w": 7.00},
    {"kind": "inner_surface", "name": "", "resistance_m2k_w": 0.13},
]


def lengths(svg: str) -> list[float]:
    return [float(each.attrib["width"]) for each in named(svg, "rect")]


def test_each_course_has_its_share_and_only_a_long_one_its_figure() -> None:
    # 79 mm for 8.00 m2K/W: 9.875 mm a m2K/W.
    svg = resistances(COURSES, units=Units("eu"), title="Resistances")
    assert lengths(svg) == pytest.approx([0.395, 8.196, 69.125, 1.284], abs=1e-3)
    assert lettering(svg) == ["7.00"]
    lefts = [float(each.attrib["x"]) for each in named(svg, "rect")]
    assert lefts == pytest.approx([0.5, 0.895, 9.091, 78.216], abs=1e-3)


def test_figures_are_those_of_the_market() -> None:
    # 1 m2K/W is 5.678263 ft2 h F/Btu: 7.00 is.
    assert lettering(resistances(COURSES, units=Units("us"), title="Resistances")) == ["39.7"]
    drawn = masses(100.0, 90.0, units=Units("us"), planned="planned", title="Mass")
    assert lettering(drawn) == ["198 lb", "planned 220 lb"]


@pytest.mark.parametrize(
    ("planned_kg", "blown_kg", "bar_mm", "line_mm"),
    [(100.0, 50.0, 38.5, 77.5), (50.0, 100.0, 77.0, 39.0), (100.0, 0.0, 0.0, 77.5)],
)
def test_what_was_blown_is_held_against_what_was_planned(
    planned_kg: float, blown_kg: float, bar_mm: float, line_mm: float
) -> None:
    svg = masses(planned_kg, blown_kg, units=Units("eu"), planned="planned", title="Mass")
    assert lengths(svg) == pytest.approx([bar_mm])
    assert [float(each.attrib["x1"]) for each in named(svg, "line")] == pytest.approx([line_mm])
    assert lettering(svg) == [f"{blown_kg:.1f} kg", f"planned {planned_kg:.1f} kg"]
