"""What a cavity cannot be: fields that cannot be as they are, and fields that contradict one another."""

from collections.abc import Iterator
from itertools import combinations, pairwise
from math import prod

from service.engine.geometry.areas import across_and_along_m, face_m2
from service.engine.geometry.bays import bay_edges_m, member_count, members
from service.engine.geometry.layout import edge_of, outline
from service.engine.geometry.rectangles import DUST_M
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Element, Fill, Runs
from service.engine.survey.cavity import Cavity, Framing
from service.engine.survey.fields import counted, displaced_faults, framing_faults, opening_faults, within
from service.engine.survey.limits import (
    IN_PLANE_M,
    MOST_CAVITIES,
    MOST_DISPLACED,
    MOST_LAYERS,
    MOST_OPENINGS,
    MOST_PARTS,
    MOST_POINTS,
    PLACE_M,
    TIMBER_MM,
)
from service.errors import Fault, InvalidInput

MOST_CROSSINGS = 10_000


def refuse(*, cavity: Cavity) -> None:
    """Raise InvalidInput with every fault found, if any; pointers are relative to the cavity.

    Whether fields contradict one another is looked at once each of them can be.
    """
    for find in (_sizes, _wholes):
        faults = tuple(find(cavity))
        if faults:
            raise InvalidInput(*faults)


def _sizes(cavity: Cavity) -> Iterator[Fault]:
    yield from within(at="", unit="m", limits=IN_PLANE_M, width_m=cavity.width_m, span_m=cavity.span_m)
    yield from counted(at="", most=MOST_CAVITIES, count=cavity.count)
    yield from _slope(cavity)
    if cavity.lies is Fill.OPEN and cavity.element is Element.WALL:
        yield Fault("/fill", message("geometry.wall_blown_open"))
    if not 1 <= len(cavity.layers) <= MOST_LAYERS:
        yield Fault("/layers", message("geometry.layers_out_of_range", most=MOST_LAYERS))
    for index, layer in enumerate(cavity.layers):
        yield from within(at=f"/layers/{index}", unit="mm", limits=TIMBER_MM, depth_mm=layer.depth_mm)
        if layer.framing is not None:
            yield from framing_faults(at=f"/layers/{index}/framing", framing=layer.framing)
    if len(cavity.openings) > MOST_OPENINGS:
        yield Fault("/openings", message("geometry.too_many_openings", most=MOST_OPENINGS))
    for index, opening in enumerate(cavity.openings):
        yield from opening_faults(at=f"/openings/{index}", opening=opening)
    if len(cavity.displaced) > MOST_DISPLACED:
        yield Fault("/displaced", message("geometry.too_many_displaced", most=MOST_DISPLACED))
    for index, each in enumerate(cavity.displaced):
        yield from displaced_faults(at=f"/displaced/{index}", displaced=each)
    if cavity.profile_m:
        yield from _points(cavity)


def _slope(cavity: Cavity) -> Iterator[Fault]:
    if cavity.pitch_deg is None:
        return
    if cavity.element is not Element.ROOF_SLOPE:
        yield Fault("/pitch_deg", message("geometry.pitch_of_no_slope"))
    elif not 0 <= cavity.pitch_deg < 90:
        yield Fault("/pitch_deg", message("geometry.pitch_out_of_range"))


def _points(cavity: Cavity) -> Iterator[Fault]:
    points = cavity.profile_m
    if not 2 <= len(points) <= MOST_POINTS:
        yield Fault("/profile_m", message("geometry.points_out_of_range", most=MOST_POINTS))
    for index, (x_m, height_m) in enumerate(points):
        yield from within(at=f"/profile_m/{index}", unit="m", limits=PLACE_M, **{"0": x_m, "1": height_m})


def _wholes(cavity: Cavity) -> Iterator[Fault]:
    profile = tuple(_profile(cavity))
    yield from profile
    sound: list[Framing] = []
    for index, layer in enumerate(cavity.layers):
        if layer.framing and layer.framing not in sound:  # most leaves are framed alike
            faults = tuple(_layout(f"/layers/{index}/framing", cavity, layer.framing))
            yield from faults
            sound += [] if faults else [layer.framing]
    yield from _crossing(cavity)
    fitting = tuple(_fitting(cavity))
    yield from fitting
    if not profile and not fitting:
        yield from _under_edge(cavity)
    yield from _overlapping(cavity)
    if cavity.dividers and not any(layer.framing and layer.framing.member_mm for layer in cavity.layers):
        yield Fault("/dividers", message("geometry.dividers_without_members"))


def _profile(cavity: Cavity) -> Iterator[Fault]:
    points = cavity.profile_m
    if not points:
        return
    for index, (before, point) in enumerate(pairwise(points), start=1):
        if point[0] < before[0] or (index > 1 and point[0] == points[index - 2][0]):
            yield Fault(f"/profile_m/{index}/0", message("geometry.points_not_in_order"))
    for index, x_m in ((0, 0.0), (len(points) - 1, cavity.width_m)):
        if abs(points[index][0] - x_m) > DUST_M:
            yield Fault(f"/profile_m/{index}/0", message("geometry.profile_of_other_width", x=_metres(x_m)))
    for index, (_, height_m) in enumerate(points):
        if height_m > cavity.span_m + DUST_M:
            said = message("geometry.profile_above_span", span=_metres(cavity.span_m))
            yield Fault(f"/profile_m/{index}/1", said)
    if max(height_m for _, height_m in points) <= DUST_M:
        yield Fault("/profile_m", message("geometry.profile_of_no_height"))
    for index, framing in enumerate(members(layer=layer) for layer in cavity.layers):
        if framing and framing.runs is Runs.ACROSS:
            yield Fault(f"/layers/{index}/framing/runs", message("geometry.across_under_profile"))


def _layout(at: str, cavity: Cavity, framing: Framing) -> Iterator[Fault]:
    if framing.member_mm is None:
        return
    across_m, along_m = across_and_along_m(cavity=cavity, framing=framing)
    rows, rows_m = framing.blocking_rows, framing.blocking_rows * framing.blocking_mm / 1000
    outside = tuple(_standing(at, framing, across_m))
    yield from outside
    if (member_count(framing=framing, across_m=across_m) - 1) * (rows + 1) > MOST_PARTS:
        yield Fault(f"{at}/spacing_mm", message("geometry.too_many_parts", most=MOST_PARTS))
    elif not outside and _closed(framing, across_m):
        yield Fault(f"{at}/member_mm", message("geometry.members_leave_no_bay", across=_metres(across_m)))
    if framing.plates_mm / 1000 >= along_m:
        yield Fault(f"{at}/plates_mm", message("geometry.plates_too_thick", along=_metres(along_m)))
    elif along_m - framing.plates_mm / 1000 - rows_m <= (rows + 1) * DUST_M:
        yield Fault(f"{at}/blocking_mm", message("geometry.blocking_too_thick"))
    if framing.members is not None and any(opening.is_placed for opening in cavity.openings):
        yield Fault(f"{at}/members", message("geometry.places_of_members_needed"))


def _closed(framing: Framing, across_m: float) -> bool:
    """Whether the members leave no bay; looked at one by one only where they are broad enough for it."""
    count = member_count(framing=framing, across_m=across_m)
    timber_m = count * (framing.member_mm or 0.0) / 1000
    return timber_m + count * DUST_M >= across_m and not bay_edges_m(framing=framing, across_m=across_m)


def _standing(at: str, framing: Framing, across_m: float) -> Iterator[Fault]:
    """Members that are too broad for the cavity, or stand outside of it."""
    member_m = (framing.member_mm or 0.0) / 1000
    if across_m - member_m <= DUST_M:
        yield Fault(f"{at}/member_mm", message("geometry.members_leave_no_bay", across=_metres(across_m)))
    for index, start_m in enumerate(framing.members_at_m or ()):
        if start_m + member_m > across_m + DUST_M:
            yield Fault(f"{at}/members_at_m/{index}", message("geometry.member_outside"))


def _crossing(cavity: Cavity) -> Iterator[Fault]:
    """Spaces behind crossing members are looked at pair by pair: no building has so many."""
    framings = [framing for layer in cavity.layers if (framing := members(layer=layer))]
    most = {framing.runs: 0 for framing in framings}
    if len(most) > 1:
        for framing in framings:
            across_m, _ = across_and_along_m(cavity=cavity, framing=framing)
            parts = (member_count(framing=framing, across_m=across_m) - 1) * (framing.blocking_rows + 1)
            most[framing.runs] = max(most[framing.runs], parts)
        if prod(most.values()) > MOST_CROSSINGS:
            yield Fault("/layers", message("geometry.too_many_crossings", most=MOST_CROSSINGS))


def _fitting(cavity: Cavity) -> Iterator[Fault]:
    for index, opening in enumerate(cavity.openings):
        at = f"/openings/{index}"
        for name, size, place, start, room in (
            ("width_m", opening.width_m, "left_m", opening.left_m, cavity.width_m),
            ("height_m", opening.height_m, "sill_m", opening.sill_m, cavity.span_m),
        ):
            if size > room + DUST_M:
                yield Fault(f"{at}/{name}", message("geometry.opening_too_large", room=_metres(room)))
            elif start is not None and start + size > room + DUST_M:
                yield Fault(f"{at}/{place}", message("geometry.opening_sticks_out"))
            elif name == "height_m" and start is None and size > room / 2 + DUST_M:
                yield Fault(f"{at}/sill_m", message("geometry.sill_needed", half=_metres(room / 2)))


def _under_edge(cavity: Cavity) -> Iterator[Fault]:
    if edge := edge_of(cavity=cavity):
        for index, opening in enumerate(cavity.openings):
            left_m = opening.left_m
            room_m = (
                edge.highest_m
                if left_m is None
                else edge.lowest_m(left_m=left_m, right_m=left_m + opening.width_m)
            )
            if (opening.sill_m or 0.0) + opening.height_m > room_m + DUST_M:
                yield Fault(f"/openings/{index}/height_m", message("geometry.opening_above_edge"))
    whole_m2, taken_m2 = face_m2(cavity=cavity), cavity.openings_m2
    if taken_m2 >= whole_m2 * (1 - 1e-9):
        yield Fault("/openings", message("geometry.openings_take_all", taken=taken_m2, whole=whole_m2))


def _overlapping(cavity: Cavity) -> Iterator[Fault]:
    placed = [(place, outline(opening=each)) for place, each in enumerate(cavity.openings) if each.is_placed]
    for (first, one), (second, other) in combinations(placed, 2):
        if one.overlaps(other):
            yield Fault(f"/openings/{second}", message("geometry.openings_overlap", other=first + 1))


def _metres(value: float) -> str:
    return f"{value:g}"
