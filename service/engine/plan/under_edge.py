"""Holes and strips under an upper edge that is no straight line.

In a hip's corner the middle of a bay is timber, and the members between two bays end at the edge.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import pairwise
from statistics import fmean

from service.engine.geometry.compartments import Part
from service.engine.geometry.layout import edge_of, layout_of
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import Rectangle
from service.engine.plan.holes import CUT_TO_TIMBER, Hole, Size
from service.engine.survey.cavity import Cavity

PLACES = 20  # to either side of the middle that are tried


def under_edge(*, holes: Iterable[Hole], parts: Iterable[Part], cavity: Cavity) -> tuple[Hole, ...]:
    """The holes of a cavity with a profile, each moved to the side where its part is taller if it has to be.

    Where it fits nowhere at its height it sits as high as it can; where it fits nowhere at all its
    note says that it is cut to the timber.
    """
    if not cavity.profile_m:
        return tuple(holes)
    layout = layout_of(cavity=cavity)
    boxes = {(part.bay, part.number): part for part in parts}
    return tuple(_under(hole, boxes[hole.bay, hole.part], layout.edge, layout.tied_m) for hole in holes)


def member_m(*, sized: Iterable[tuple[Part, Size]], cavity: Cavity) -> float:
    """The mean length of the members between the bays of these parts: the span, or what lies under the edge.

    `cavity` has its bays along the span, as every one with a profile has.
    """
    edge, ends = edge_of(cavity=cavity), dict[int, tuple[float, float]]()
    if edge is None:
        return cavity.span_m
    for part, _ in sorted(sized):
        left_m, right_m = ends.get(part.bay, (part.left_m, part.right_m))
        ends[part.bay] = min(left_m, part.left_m), max(right_m, part.right_m)
    between = [(right_m, left_m) for (_, right_m), (left_m, _) in pairwise(ends.values())]
    faces = (Rectangle(left_m, right_m, 0.0, cavity.span_m) for left_m, right_m in between)
    return fmean(edge.area_m2(each) / (each.right_m - each.left_m) for each in faces) if between else 0.0


def _under(hole: Hole, part: Part, edge: Edge | None, drop_m: float) -> Hole:
    if edge is None:
        return hole
    highest_m = {x_m: _highest_m(x_m, hole, part, edge) - drop_m for x_m in _places(hole, part)}
    fitting = [x_m for x_m, most_m in highest_m.items() if hole.height_m <= most_m]
    if fitting:
        return replace(hole, x_m=fitting[0]) if fitting[0] != hole.x_m else hole
    x_m = max(highest_m, key=highest_m.__getitem__)
    lowest_m = part.bottom_m + hole.height_mm / 2000
    note = hole.note if highest_m[x_m] >= lowest_m else hole.note or CUT_TO_TIMBER
    return replace(hole, x_m=x_m, height_m=max(lowest_m, highest_m[x_m]), note=note)


def _places(hole: Hole, part: Part) -> Iterator[float]:
    """Where its middle may be across the part, the nearest to where it is first."""
    half_m = hole.width_mm / 2000
    left_m, right_m = part.left_m + half_m, part.right_m - half_m
    yield hole.x_m
    for step in range(1, PLACES + 1):
        yield hole.x_m + (right_m - hole.x_m) * step / PLACES
        yield hole.x_m + (left_m - hole.x_m) * step / PLACES


def _highest_m(x_m: float, hole: Hole, part: Part, edge: Edge) -> float:
    """How high its middle may be there, before plates."""
    half_m = hole.width_mm / 2000
    left_m, right_m = max(part.left_m, x_m - half_m), min(part.right_m, x_m + half_m)
    return edge.lowest_m(left_m=left_m, right_m=right_m) - hole.height_mm / 2000
