"""A cavity cut across its members, to scale: leaves, gap, fill, facing, and how deep each is."""

from itertools import pairwise, takewhile
from typing import Any

import cattrs
from markupsafe import Markup

from service.documents.drawings.drawing import (
    FAINT,
    INK,
    PAPER,
    TIMBER_LINE,
    Scale,
    block,
    dashed,
    fibre,
    fibre_pattern,
    line,
    picture,
    stack,
    tag,
    timber,
    words,
)
from service.documents.wording.formats import Units
from service.engine.geometry.bays import member_starts_m
from service.engine.survey.cavity import Framing

Cavity = dict[str, Any]

WIDTH_MM = 80.0
CUT_MM = 55.0
DEEPEST_MM = 34.0
LEFT_MM = 1.0
TOP_MM = 5.0
BELOW_MM = 6.0
SCALES = (5, 7.5, 10, 15, 20, 25, 30, 40, 50, 75, 100)
"""One millimetre on paper for so many in the building; the largest drawing that fits is taken."""


def section(cavity: Cavity, *, place: int, units: Units, title: str, outside: str, inside: str) -> Markup:
    """The section, seen along the members: the outer side above, that of a floor below.

    `place` is the cavity's place in the document: no two drawings of a page may define the same name.
    """
    above, layers, below = cavity["outside"], cavity["layers"], cavity["inside"]
    over, under, filled_from_above = outside, inside, False
    if cavity["element"] == "floor":
        above, layers, below = below[::-1], layers[::-1], above[::-1]
        over, under, filled_from_above = inside, outside, True
    depth_mm = sum(layer["depth_mm"] for layer in layers)
    scale = _scale(cavity, depth_mm)
    cut_mm = min(CUT_MM, cavity["width_m"] * 1000 / scale)
    top = TOP_MM + sum(_thickness(each, scale) for each in above)
    y = Scale(zero=0, start=top, per_unit=1 / scale)
    foot = y(depth_mm) + sum(_thickness(each, scale) for each in below)
    pattern = f"fibre-{place}"
    marks = [
        fibre_pattern(pattern),
        *_layers(layers, cavity, y, cut_mm, scale, pattern),
        *_linings(above, TOP_MM, cut_mm, scale),
        *_linings(below, y(depth_mm), cut_mm, scale),
        line(LEFT_MM, TOP_MM, LEFT_MM, foot, width=0.15),
        *_facing(cavity["facing"], top if filled_from_above else y(depth_mm), cut_mm),
        _torn_edge(cavity, cut_mm, scale, TOP_MM, foot),
        *_depths(layers, y, units),
        words(LEFT_MM, TOP_MM - 1.4, over, anchor="start", fill=FAINT),
        words(LEFT_MM, foot + 3.6, under, anchor="start", fill=FAINT),
    ]
    return picture(*marks, width_mm=WIDTH_MM, height_mm=foot + BELOW_MM, title=title)


def _scale(cavity: Cavity, depth_mm: float) -> float:
    framings = [layer["framing"] for layer in cavity["layers"] if layer["framing"]]
    bay_mm = max((_bay_mm(each, cavity["width_m"] * 1000) for each in framings), default=0)
    for scale in SCALES:
        if depth_mm / scale <= DEEPEST_MM and 1.25 * bay_mm / scale <= CUT_MM:
            return scale
    return depth_mm / DEEPEST_MM


def _bay_mm(framing: dict[str, Any], width_mm: float) -> float:
    """The widest distance from a member to the next, or none."""
    if not framing["member_mm"] or framing["runs"] != "along":
        return framing["spacing_mm"] or 0.0
    starts = _starts_mm(framing, width_mm)
    return max((right - left for left, right in pairwise(starts)), default=0.0)


def _layers(
    layers: list[Any], cavity: Cavity, y: Scale, cut_mm: float, scale: float, pattern: str
) -> list[Markup]:
    """Fill, with the members that stand in it; leaves that are not aligned stand half a bay apart."""
    marks, top, framed = [], 0.0, 0
    for layer in layers:
        height = layer["depth_mm"] / scale
        marks.append(fibre(LEFT_MM, y(top), cut_mm, height, pattern=pattern))
        framing = layer["framing"]
        if framing and framing["member_mm"] and framing["runs"] == "along":
            staggered = framed % 2 == 1 and not cavity["leaves_aligned"]
            marks += _members(framing, cavity["width_m"] * 1000, y(top), height, cut_mm, scale, staggered)
        elif framing:
            middle = y(top + layer["depth_mm"] / 2)
            marks.append(dashed(LEFT_MM, middle, LEFT_MM + cut_mm, middle, stroke=TIMBER_LINE))
        framed += bool(framing)
        top += layer["depth_mm"]
    return marks


def _members(
    framing: dict[str, Any],
    width_mm: float,
    top: float,
    height: float,
    cut_mm: float,
    scale: float,
    staggered: bool,
) -> list[Markup]:
    member, last = framing["member_mm"], width_mm - framing["member_mm"]
    starts = _starts_mm(framing, width_mm)
    shift = (starts[1] - starts[0]) / 2 if staggered and len(starts) > 1 else 0.0
    marks = []
    for start in takewhile(
        lambda start: start / scale < cut_mm, (min(each + shift, last) for each in starts)
    ):
        wide = min(member / scale, cut_mm - start / scale)
        marks.append(timber(LEFT_MM + start / scale, top, wide, height))
    return marks


def _starts_mm(framing: dict[str, Any], width_mm: float) -> list[float]:
    """The left edge of each member where it stands."""
    surveyed = cattrs.structure(framing, Framing)
    return [1000 * start_m for start_m in member_starts_m(framing=surveyed, across_m=width_mm / 1000)]


def _thickness(layer: dict[str, Any], scale: float) -> float:
    return max(0.7, min((layer["thickness_mm"] or 0) / scale, 5.0))


def _linings(layers: list[Any], top: float, cut_mm: float, scale: float) -> list[Markup]:
    """The other layers of the build-up, as plain bands; the table beside names them."""
    marks = []
    for layer in layers:
        height = _thickness(layer, scale)
        marks.append(block(LEFT_MM, top, cut_mm, height, fill=PAPER, stroke=INK, line_width=0.15))
        top += height
    return marks


def _facing(facing: str, y: float, cut_mm: float) -> list[Markup]:
    """The side that the fill goes through: a membrane broken, a net dotted, a board or lining solid."""
    if facing == "none":
        return []
    dashes = {"membrane": "2.4 0.9", "netting": "0.5 0.7"}.get(facing, "none")
    return [
        tag(
            "line",
            x1=LEFT_MM,
            y1=y,
            x2=LEFT_MM + cut_mm,
            y2=y,
            stroke=INK,
            stroke_width=0.7,
            stroke_dasharray=dashes,
        )
    ]


def _torn_edge(cavity: Cavity, cut_mm: float, scale: float, top: float, bottom: float) -> Markup:
    """Where the drawing stops before the cavity does, a zigzag says so."""
    x, middle = LEFT_MM + cut_mm, (top + bottom) / 2
    if cavity["width_m"] * 1000 / scale <= cut_mm:
        return line(x, top, x, bottom)
    zigzag = (
        f"M{x:.2f} {top - 1.2:.2f}L{x:.2f} {middle - 1.2:.2f}l-1 .8l2 .8l-1 .8L{x:.2f} {bottom + 1.2:.2f}"
    )
    paper = tag("path", d=zigzag, stroke=PAPER, stroke_width=1.0, fill="none")
    return paper + tag("path", d=zigzag, stroke=INK, stroke_width=0.15, fill="none")


def _depths(layers: list[Any], y: Scale, units: Units) -> list[Markup]:
    """The depth of each layer, and of all together where there are several."""
    stops, labels = [0.0], []
    for layer in layers:
        stops.append(stops[-1] + layer["depth_mm"])
        labels.append((y((stops[-2] + stops[-1]) / 2), units.depth(layer["depth_mm"]).number))
    x = LEFT_MM + CUT_MM + 3
    marks = [stack(x, tuple(y(stop) for stop in stops))]
    for (middle, label), at in zip(labels, _spread([middle for middle, _ in labels]), strict=True):
        if abs(at - middle) > 0.3:
            marks.append(line(x + 0.6, middle, x + 2, at, stroke=FAINT, width=0.12))
        marks.append(words(x + 2.2, at + 0.9, label, anchor="start"))
    if len(layers) == 1:
        marks[-1] = words(x + 2.2, labels[0][0] + 0.9, str(units.depth(stops[-1])), anchor="start")
        return marks
    marks.append(stack(x + 9, (y(0), y(stops[-1]))))
    total = str(units.depth(stops[-1]))
    marks.append(words(x + 10.4, y(stops[-1] / 2) + 0.9, total, anchor="start", weight=600))
    return marks


def _spread(middles: list[float], gap: float = 2.9) -> list[float]:
    """The same places from the top down, pushed apart so that their labels do not touch."""
    placed: list[float] = []
    for middle in middles:
        placed.append(max(middle, placed[-1] + gap) if placed else middle)
    return placed
