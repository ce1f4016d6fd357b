"""Holes clear of the timber right behind the facing: rows of blocking, and members that cross the bays."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from service.engine.geometry.bays import bay_edges_m, members, segments_m
from service.engine.geometry.compartments import Part
from service.engine.geometry.layout import Ends, layout_of
from service.engine.geometry.rectangles import DUST_M
from service.engine.ground.vocabulary import Runs
from service.engine.plan.holes import CUT_TO_TIMBER, Hole
from service.engine.survey.cavity import Cavity


def clear_of_timber(
    *, holes: Sequence[Hole], parts: Iterable[Part], cavity: Cavity, standing: Cavity
) -> tuple[Hole, ...]:
    """The holes of a cavity, each moved along its bay as little as it takes to miss that timber.

    `standing` is the cavity with its bays along the span. Where a hole fits nowhere between the
    timbers it is as large as the room that is nearest, and cut to them.
    """
    clear_m, turned = _clear_m(standing), standing is not cavity
    if not clear_m:
        return tuple(holes)
    boxes = {(part.bay, part.number): part for part in parts}
    return tuple(_moved(hole, boxes[hole.bay, hole.part], clear_m, turned=turned) for hole in holes)


def _clear_m(standing: Cavity) -> Ends:
    """Both ends of each length between the timbers of the innermost layer; none where it parts no bay.

    Blocking through the full depth has parted the bays already.
    """
    innermost = members(layer=standing.layers[-1])
    if innermost is None:
        return ()
    if innermost.runs is Runs.ACROSS:
        return bay_edges_m(framing=innermost, across_m=standing.span_m)
    if not innermost.blocking_rows or layout_of(cavity=standing).blocked:
        return ()
    return segments_m(framing=innermost, along_m=standing.span_m)


def _moved(hole: Hole, part: Part, clear_m: Ends, *, turned: bool) -> Hole:
    middle_m, long_mm = (hole.x_m, hole.width_mm) if turned else (hole.height_m, hole.height_mm)
    low_m, high_m = (part.left_m, part.right_m) if turned else (part.bottom_m, part.top_m)
    rooms = [(max(start, low_m), min(end, high_m)) for start, end in clear_m]
    fits = [(start, end) for start, end in rooms if end - start >= long_mm / 1000 - DUST_M]
    if fits:
        half_m = long_mm / 2000
        places_m = [max(start + half_m, min(middle_m, end - half_m)) for start, end in fits]
        at_m = min(places_m, key=lambda place_m: abs(place_m - middle_m))
        return _placed(hole, at_m, long_mm, turned=turned) if at_m != middle_m else hole
    wide = [(start, end) for start, end in rooms if end - start > DUST_M]
    if not wide:
        return hole
    start_m, end_m = min(wide, key=lambda room: abs(sum(room) / 2 - middle_m))
    cut = replace(hole, note=hole.note or CUT_TO_TIMBER)
    return _placed(cut, (start_m + end_m) / 2, (end_m - start_m) * 1000, turned=turned)


def _placed(hole: Hole, middle_m: float, long_mm: float, *, turned: bool) -> Hole:
    if turned:
        return replace(hole, x_m=middle_m, width_mm=long_mm)
    return replace(hole, height_m=middle_m, height_mm=long_mm)
