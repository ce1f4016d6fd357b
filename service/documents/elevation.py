"""A cavity seen from the side that it is filled from: members, openings, holes, sampled bays."""

from collections.abc import Iterable, Sequence
from typing import Any

from markupsafe import Markup

from service.documents.drawing import (
    FAINT,
    FILL,
    INK,
    PAPER,
    TIMBER,
    TIMBER_LINE,
    Scale,
    across,
    block,
    line,
    picture,
    tag,
    words,
)
from service.documents.formats import Units

Cavity = dict[str, Any]
Span = tuple[float, float]

LEFT_MM = 15.0
TOP_MM = 6.0
BELOW_MM = 8.0
SMALLEST_MARK_MM = 1.5


def elevation(
    cavity: Cavity,
    bay_widths_m: Sequence[float],
    *,
    holes: Sequence[dict[str, Any]],
    sampled: Iterable[int],
    units: Units,
    title: str,
    width_mm: float = 166.0,
    highest_mm: float = 62.0,
) -> Markup:
    """The whole cavity to scale, with each planned hole by its number and each sampled bay marked below."""
    per_m = min((width_mm - LEFT_MM - 1) / cavity["width_m"], highest_mm / cavity["span_m"])
    x = Scale(zero=0, start=LEFT_MM, per_unit=per_m)
    y = Scale(zero=cavity["span_m"], start=TOP_MM, per_unit=-per_m)
    bays = _bays(cavity, bay_widths_m)
    marks = [
        block(x(0), y(cavity["span_m"]), cavity["width_m"] * per_m, cavity["span_m"] * per_m, fill=FILL),
        *_members(cavity, bays, x, y),
        *(_opening(each, x, y) for each in cavity["openings"] if each["left_m"] is not None),
        _frame(cavity, x, y),
        *_bay_numbers(bays, set(sampled), x, y(0)),
        *_holes(holes, x, y),
        across(x(0), x(cavity["width_m"]), TOP_MM - 2, units.length(cavity["width_m"])),
        *_height(cavity, y, units),
    ]
    used = LEFT_MM + cavity["width_m"] * per_m + 1
    return picture(*marks, width_mm=used, height_mm=y(0) + BELOW_MM, title=title)


def _filled_from(cavity: Cavity) -> dict[str, Any] | None:
    """The framing that the filler works at: of the innermost framed layer."""
    framings = [each["framing"] for each in cavity["layers"] if each["framing"]]
    return framings[-1] if framings else None


def _bays(cavity: Cavity, bay_widths_m: Sequence[float]) -> list[Span]:
    """The left and right edge of every bay, in metres from the cavity's left edge."""
    if len(bay_widths_m) == 1:
        return [(0.0, cavity["width_m"])]
    framing = _filled_from(cavity)
    member_m = (framing["member_mm"] or 0.0) / 1000 if framing else 0.0
    bays, left = [], member_m
    for width in bay_widths_m:
        bays.append((left, left + width))
        left += width + member_m
    return bays


def _members(cavity: Cavity, bays: list[Span], x: Scale, y: Scale) -> list[Markup]:
    framing, span, width = _filled_from(cavity), cavity["span_m"], cavity["width_m"]
    if framing is None or framing["member_mm"] is None or framing["runs"] == "across":
        return []
    plate = framing["plates_mm"] / 2000
    edges = [0.0, *(edge for bay in bays for edge in bay), width]
    upright = [(left, 0.0, right, span) for left, right in zip(edges[::2], edges[1::2], strict=True)]
    plates = [(0.0, 0.0, width, plate), (0.0, span - plate, width, span)] if plate else []
    rows = framing["blocking_rows"]
    half = framing["blocking_mm"] / 2000
    heights = [span * row / (rows + 1) for row in range(1, rows + 1)]
    blocking = [(0.0, height - half, width, height + half) for height in heights]
    return [_plank(each, x, y) for each in (*upright, *plates, *blocking)]


def _plank(edges: tuple[float, float, float, float], x: Scale, y: Scale) -> Markup:
    left, bottom, right, top = edges
    return block(
        x(left),
        y(top),
        x(right) - x(left),
        y(bottom) - y(top),
        fill=TIMBER,
        stroke=TIMBER_LINE,
        line_width=0.12,
    )


def _opening(opening: dict[str, Any], x: Scale, y: Scale) -> Markup:
    left, bottom = opening["left_m"], opening["sill_m"]
    right, top = left + opening["width_m"], bottom + opening["height_m"]
    trim = opening["trim_mm"] / 1000
    cross = tag(
        "path",
        d=f"M{x(left):.2f} {y(bottom):.2f}L{x(right):.2f} {y(top):.2f}M{x(left):.2f} {y(top):.2f}L{x(right):.2f} {y(bottom):.2f}",
        stroke=FAINT,
        stroke_width=0.12,
        fill="none",
    )
    pane = block(x(left), y(top), x(right) - x(left), y(bottom) - y(top), fill=PAPER, stroke=INK)
    return _plank((left - trim, bottom - trim, right + trim, top + trim), x, y) + pane + cross


def _frame(cavity: Cavity, x: Scale, y: Scale) -> Markup:
    width, height = x(cavity["width_m"]) - x(0), y(0) - y(cavity["span_m"])
    return block(x(0), y(cavity["span_m"]), width, height, fill="none", stroke=INK, line_width=0.35)


def _bay_numbers(bays: list[Span], sampled: set[int], x: Scale, foot: float) -> list[Markup]:
    """Numbers under the bays, every fifth where they stand close, and a lozenge where a sample was taken."""
    narrow = min(x(right) - x(left) for left, right in bays) < 4.2
    marks = []
    for number, (left, right) in enumerate(bays, start=1):
        middle = x((left + right) / 2)
        if not narrow or number in (1, len(bays)) or number % 5 == 0:
            marks.append(words(middle, foot + 3.4, number, size=2.3, fill=FAINT))
        if number in sampled:
            marks.append(
                tag("path", d=f"M{middle:.2f} {foot + 4.4:.2f}l1.3 1.3l-1.3 1.3l-1.3 -1.3z", fill=INK)
            )
    return marks


def _holes(holes: Sequence[dict[str, Any]], x: Scale, y: Scale) -> list[Markup]:
    """A numbered ring for each hole; where they stand close, a dot, and every fifth with its number."""
    places = [(x(each["x_m"]), y(each["height_m"]), each["number"]) for each in holes]
    reach = _closest(places) * 0.46
    if reach >= SMALLEST_MARK_MM:
        radius = min(2.7, reach)
        return [mark for place in places for mark in _ring(*place, radius)]
    dots = [tag("circle", cx=cx, cy=cy, r=max(0.4, min(0.8, reach)), fill=INK) for cx, cy, _ in places]
    named = [place for place in places if place[2] == 1 or place[2] % 5 == 0 or place[2] == len(places)]
    return [*dots, *(words(cx, cy - 1.4, number, size=2.2, weight=600) for cx, cy, number in named)]


def _closest(places: Sequence[tuple[float, float, int]]) -> float:
    """The smallest distance between holes that follow one another; 99 where there are not two."""
    return min(
        (
            ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5
            for (ax, ay, _), (bx, by, _) in zip(places, places[1:], strict=False)
        ),
        default=99.0,
    )


def _ring(cx: float, cy: float, number: int, radius: float) -> tuple[Markup, Markup]:
    ring = tag("circle", cx=cx, cy=cy, r=radius, fill=PAPER, stroke=INK, stroke_width=0.3)
    size = radius * (1.15 if number < 100 else 0.95)
    return ring, words(cx, cy + size * 0.35, number, size=size, weight=600)


def _height(cavity: Cavity, y: Scale, units: Units) -> list[Markup]:
    x, top, bottom = LEFT_MM - 2.2, y(cavity["span_m"]), y(0)
    return [
        line(x, top, x, bottom, width=0.13),
        *(line(x - 0.7, each + 0.7, x + 0.7, each - 0.7, width=0.25) for each in (top, bottom)),
        words(x - 1, (top + bottom) / 2 + 0.9, units.length(cavity["span_m"]), anchor="end"),
    ]
