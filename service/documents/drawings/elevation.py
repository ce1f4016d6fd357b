"""A cavity seen from the side that it is filled from: members, openings, holes, sampled bays."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from math import dist
from typing import Any

import cattrs
from markupsafe import Markup

from service.documents.drawings.drawing import (
    FAINT,
    FILL,
    INK,
    PAPER,
    TIMBER,
    TIMBER_LINE,
    Scale,
    across,
    block,
    blocks,
    dots,
    line,
    picture,
    shapes,
    tag,
    words,
)
from service.documents.wording.formats import Units
from service.engine.geometry.bays import spaces
from service.engine.geometry.layout import edge_of, half_plates_m, is_turned, layout_of, outline, upright
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import Rectangle
from service.engine.survey.cavity import Cavity, Framing

LEFT_MM = 15.0
TOP_MM = 6.0
BELOW_MM = 8.0
BESIDE_MM = 8.0
CLOSE_MM = 4.2
SMALLEST_RING_MM = 1.5
WIDE_NUMBER = 100
UNPLANNED = "+"

Place = tuple[float, float, int | None]
"""Where a hole is on paper, in millimetres, and its number; none where the plan does not have it."""


def elevation(
    cavity: dict[str, Any],
    *,
    holes: Sequence[dict[str, Any]],
    sampled: Iterable[int],
    units: Units,
    title: str,
    width_mm: float = 166.0,
    highest_mm: float = 62.0,
    scale: float | None = None,
) -> Markup:
    """The whole cavity to scale, with each hole and each sampled bay marked.

    `scale` is millimetres on paper for a metre; where it is not given, the largest that fits.
    """
    surveyed = cattrs.structure(cavity, Cavity)
    turned = is_turned(cavity=surveyed)
    per_m = scale or scale_within(cavity, width_mm, highest_mm)
    x = Scale(zero=0, start=LEFT_MM, per_unit=per_m)
    y = Scale(zero=surveyed.span_m, start=TOP_MM, per_unit=-per_m)
    whole = Rectangle(left_m=0, right_m=surveyed.width_m, bottom_m=0, top_m=surveyed.span_m)
    clear = _clear(surveyed, whole)
    marks = [
        *_faces(surveyed, [whole], clear, x, y),
        *_openings(surveyed, x, y),
        *_bays(clear, set(sampled), x, y, turned),
        *_holes([(x(each["x_m"]), y(each["height_m"]), each["number"]) for each in holes]),
        across(x(0), x(surveyed.width_m), TOP_MM - 2, units.length(surveyed.width_m)),
        *_height(surveyed.span_m, y, units),
    ]
    used_mm = x(surveyed.width_m) + _beside_mm(turned)
    return picture(*marks, width_mm=used_mm, height_mm=y(0) + BELOW_MM, title=title)


def scale_within(cavity: dict[str, Any], width_mm: float, highest_mm: float) -> float:
    """Millimetres for a metre at which one cavity's drawing just fits."""
    turned = is_turned(cavity=cattrs.structure(cavity, Cavity))
    room_mm = width_mm - LEFT_MM - _beside_mm(turned)
    return min(room_mm / float(cavity["width_m"]), highest_mm / float(cavity["span_m"]))


def drawn_mm(cavity: dict[str, Any], scale: float) -> float:
    """How wide the drawing of a cavity is at a scale, in millimetres for a metre."""
    turned = is_turned(cavity=cattrs.structure(cavity, Cavity))
    return LEFT_MM + scale * float(cavity["width_m"]) + _beside_mm(turned)


def _beside_mm(turned: bool) -> float:
    """Room beside the drawing: the numbers of bays that lie on one another stand there."""
    return BESIDE_MM if turned else 1.0


def house_scale(cavities: Sequence[dict[str, Any]], *, width_mm: float = 84.0) -> float:
    """Millimetres for a metre at which the widest of a house's cavities fits: one scale for all of them.

    A preview before anything is filled draws none.
    """
    widest_m = max((cavity["width_m"] for cavity in cavities), default=1.0)
    return min(12.0, (width_mm - LEFT_MM - BESIDE_MM) / float(widest_m))


def _clear(cavity: Cavity, whole: Rectangle) -> Sequence[tuple[int, Rectangle]]:
    """The clear spaces of the layer that the filler works at, each with the number of its bay."""
    framing, edge = _working(cavity), edge_of(cavity=cavity)
    if framing is None or framing.member_mm is None:
        return [(1, whole)]
    clear = spaces(framing=framing, width_m=cavity.width_m, span_m=cavity.span_m)
    if edge is None:
        return clear
    drop_m = half_plates_m(framing=framing)
    return [(bay, under) for bay, space in clear for under in edge.under(space, drop_m=drop_m)]


def _working(cavity: Cavity) -> Framing | None:
    return cavity.layers[layout_of(cavity=upright(cavity=cavity)).working].framing


def _faces(
    cavity: Cavity, whole: list[Rectangle], clear: Sequence[tuple[int, Rectangle]], x: Scale, y: Scale
) -> Iterator[Markup]:
    """The whole as timber, and the clear spaces in it; both cut at the upper edge of a profile."""
    spaces_of, drop_m = [space for _, space in clear], half_plates_m(framing=_working(cavity))
    edge = edge_of(cavity=cavity)
    if edge is None:
        yield blocks((_box(area, x, y) for area in whole), fill=TIMBER, stroke=INK, line_width=0.35)
        boxes = (_box(area, x, y) for area in spaces_of)
        yield blocks(boxes, fill=FILL, stroke=TIMBER_LINE, line_width=0.12)
        return
    yield shapes(_under(edge, whole, 0.0, x, y), fill=TIMBER, stroke=INK, line_width=0.35)
    yield shapes(_under(edge, spaces_of, drop_m, x, y), fill=FILL, stroke=TIMBER_LINE, line_width=0.12)


def _under(
    edge: Edge, areas: Iterable[Rectangle], drop_m: float, x: Scale, y: Scale
) -> Iterator[list[tuple[float, float]]]:
    for area in areas:
        yield [(x(at), y(height)) for at, height in edge.shape(area, drop_m=drop_m)]


def _block(space: Rectangle, x: Scale, y: Scale, *, fill: str, stroke: str, line_width: float) -> Markup:
    return block(*_box(space, x, y), fill=fill, stroke=stroke, line_width=line_width)


def _box(space: Rectangle, x: Scale, y: Scale) -> tuple[float, float, float, float]:
    left, top = x(space.left_m), y(space.top_m)
    return left, top, x(space.right_m) - left, y(space.bottom_m) - top


def _openings(cavity: Cavity, x: Scale, y: Scale) -> Iterator[Markup]:
    """Those that have a place, crossed out, with the timber round them."""
    for opening in cavity.openings:
        if opening.is_placed:
            pane = outline(opening=opening)
            timber = outline(opening=opening, past_m=opening.trim_mm / 1000)
            yield _block(timber, x, y, fill=TIMBER, stroke=TIMBER_LINE, line_width=0.12)
            yield _block(pane, x, y, fill=PAPER, stroke=INK, line_width=0.2)
            for start, end in ((pane.bottom_m, pane.top_m), (pane.top_m, pane.bottom_m)):
                yield line(x(pane.left_m), y(start), x(pane.right_m), y(end), stroke=FAINT, width=0.12)


def _bays(
    clear: Sequence[tuple[int, Rectangle]],
    sampled: set[int],
    x: Scale,
    y: Scale,
    turned: bool,
) -> Iterator[Markup]:
    """The bays' numbers and a lozenge where a sample was taken; where they stand close, every fifth number.

    Below the drawing, or beside it where the bays lie on one another.
    """
    spaces_of = dict(clear)
    sides = [
        (y(space.top_m), y(space.bottom_m)) if turned else (x(space.left_m), x(space.right_m))
        for space in spaces_of.values()
    ]
    narrow = min(end - start for start, end in sides) < CLOSE_MM
    edge = max(x(space.right_m) for space in spaces_of.values()) if turned else y(0)
    for bay, (start, end) in zip(spaces_of, sides, strict=True):
        middle = (start + end) / 2
        if not narrow or bay in (1, len(sides)) or bay % 5 == 0:
            at = (edge + 2.4, middle + 0.8) if turned else (middle, edge + 3.4)
            yield words(*at, bay, size=2.3, fill=FAINT)
        if bay in sampled:
            across_mm, down_mm = (edge + 5.6, middle - 1.3) if turned else (middle, edge + 4.4)
            lozenge = f"M{across_mm:.2f} {down_mm:.2f}l1.3 1.3l-1.3 1.3l-1.3 -1.3z"
            yield tag("path", d=lozenge, fill=INK)


def _holes(places: Sequence[Place]) -> Iterator[Markup]:
    """A numbered ring for each hole; where they stand close, a dot, and every fifth with its number.

    A hole that the plan does not have is told as such in either.
    """
    if not places:
        return
    reach = 0.46 * _closest(places)
    if reach >= SMALLEST_RING_MM:
        yield from _rings(places, min(2.7, reach))
        return
    yield dots(((cx, cy) for cx, cy, _ in places), radius=max(0.4, min(0.8, reach)))
    for cx, cy, number in places:
        if number is None or number in (1, len(places)) or number % 5 == 0:
            yield words(cx, cy - 1.4, number or UNPLANNED, size=2.2, weight=600)


def _rings(places: Sequence[Place], radius: float) -> Iterator[Markup]:
    for cx, cy, number in places:
        size = radius * (1.15 if (number or 0) < WIDE_NUMBER else 0.95)
        yield tag("circle", cx=cx, cy=cy, r=radius, fill=PAPER, stroke=INK, stroke_width=0.3)
        yield words(cx, cy + size * 0.35, number or UNPLANNED, size=size, weight=600)


def _closest(places: Sequence[Place]) -> float:
    """The least distance between a hole and the next in its bay, or in its row; 99 without two."""
    by_row = sorted(places, key=lambda place: (round(place[1], 2), place[0]))
    neighbours = (*pairwise(places), *pairwise(by_row))
    return min((dist(one[:2], other[:2]) for one, other in neighbours), default=99.0)


def _height(span_m: float, y: Scale, units: Units) -> Iterator[Markup]:
    x, top, bottom = LEFT_MM - 2.2, y(span_m), y(0)
    yield line(x, top, x, bottom, width=0.13)
    for each in (top, bottom):
        yield line(x - 0.7, each + 0.7, x + 0.7, each - 0.7, width=0.25)
    yield words(x - 1, (top + bottom) / 2 + 0.9, units.length(span_m), anchor="end")
