"""Where the members of a layer stand, and the bays between them.

A surveyor gives a spacing, a count or the members' places. At a spacing they are set out
from the left, one at each edge, so that the last bay is the narrower one (common
practice). Where the last two would overlap, the timber is the union of both and there is
no bay between them: nothing is moved, and a wall that grows never loses room. Counted
members are evenly spread. Plates are taken as half at each end of the members, and rows
of blocking as evenly spread between them. The functions expect a cavity that `geometry`
accepts.
"""

from dataclasses import replace
from functools import lru_cache
from math import ceil

from service.engine.geometry.rectangles import DUST_M, Rectangle, rectangle
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Runs, Standing
from service.engine.survey.cavity import Framing, Layer

MEMBERS = Formula(
    code="members",
    expression="ceil((across_m - member_mm/1000)/(spacing_mm/1000)) + 1",
    source="setting out from one edge, the last bay narrower: common practice",
    standing=Standing.COMMON_PRACTICE,
)


def sizes_m(*, framing: Framing) -> tuple[float, float]:
    """Breadth and spacing of the members in metres; both 0 where only a timber fraction is known."""
    return (framing.member_mm or 0.0) / 1000, (framing.spacing_mm or 0.0) / 1000


def members(*, layer: Layer) -> Framing | None:
    """The framing of a layer whose members are known by size and spacing; None of any other layer."""
    framing = layer.framing
    return framing if framing is not None and framing.member_mm is not None else None


def member_count(*, framing: Framing, across_m: float) -> int:
    """Members over a size of `across_m` metres across them: as counted, else MEMBERS.

    The ratio is rounded to 9 decimals first, so that 6.05 m at 600 mm with members
    of 50 mm has 11 and not 12.
    """
    if framing.members_at_m is not None:
        return len(framing.members_at_m)
    if framing.members is not None:
        return framing.members
    member_m, spacing_m = sizes_m(framing=framing)
    return ceil(round((across_m - member_m) / spacing_m, 9)) + 1


def member_starts_m(*, framing: Framing, across_m: float) -> tuple[float, ...]:
    """The left edge of every member in metres, in order; the last two may overlap."""
    if framing.members_at_m is not None:
        return framing.members_at_m
    member_m, spacing_m = sizes_m(framing=framing)
    between = member_count(framing=framing, across_m=across_m) - 1
    if framing.members is not None:
        spacing_m = (across_m - member_m) / between
    return (*[index * spacing_m for index in range(between)], across_m - member_m)


@lru_cache(maxsize=16)  # of one cavity it is asked again and again
def bay_edges_m(*, framing: Framing, across_m: float) -> tuple[tuple[float, float], ...]:
    """Both edges of every bay in metres; a gap under a micrometre is none."""
    member_m, _ = sizes_m(framing=framing)
    edges, free_from_m = [], 0.0
    for start_m in member_starts_m(framing=framing, across_m=across_m):
        if start_m - free_from_m > DUST_M:
            edges.append((free_from_m, start_m))
        if start_m + member_m > free_from_m:
            free_from_m = start_m + member_m
    if across_m - free_from_m > DUST_M:
        edges.append((free_from_m, across_m))
    return tuple(edges)


def last_members_overlap(*, framing: Framing, across_m: float) -> bool:
    """Whether the member at the far edge overlaps or touches the one before it, as set out by spacing."""
    if framing.is_counted:
        return False
    member_m, spacing_m = sizes_m(framing=framing)
    between = member_count(framing=framing, across_m=across_m) - 1
    return between > 1 and across_m - member_m - (between - 1) * spacing_m <= member_m + DUST_M


def segments_m(*, framing: Framing, along_m: float) -> tuple[tuple[float, float], ...]:
    """Both ends of each clear length of a bay in metres: between plates and rows of blocking."""
    plate_m, block_m = framing.plates_mm / 2000, framing.blocking_mm / 1000
    rows = framing.blocking_rows
    clear_m = (along_m - 2 * plate_m - rows * block_m) / (rows + 1)
    starts = [plate_m + index * (clear_m + block_m) for index in range(rows + 1)]
    return tuple([(start, start + clear_m) for start in starts])


def spaces(*, framing: Framing, width_m: float, span_m: float) -> tuple[tuple[int, Rectangle], ...]:
    """The clear rectangles of a layer with members, each with the number of its bay from 1.

    Openings are not taken out. Bays are numbered from the left, or from the bottom
    where the members run across.
    """
    if framing.runs is Runs.ACROSS:
        upright_framing = replace(framing, runs=Runs.ALONG)
        turned = spaces(framing=upright_framing, width_m=span_m, span_m=width_m)
        return tuple((bay, space.turned()) for bay, space in turned)
    segments = segments_m(framing=framing, along_m=span_m)
    return tuple(
        [
            (bay, rectangle((left, right, bottom, top)))
            for bay, (left, right) in enumerate(bay_edges_m(framing=framing, across_m=width_m), start=1)
            for bottom, top in segments
        ]
    )
