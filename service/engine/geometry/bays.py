"""Where the members of a layer stand, and the bays between them.

A surveyor gives a spacing, not positions. Members are set out from the left at
their spacing, with one at each edge, so that the last bay is the narrower one
(common practice). Where that would make two members overlap at the right edge
they stand side by side. Plates are taken as half at each end of the members, and
rows of blocking as evenly spread between them. The functions expect a cavity
that `geometry` accepts.
"""

from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from math import ceil

from service.engine.geometry.rectangles import DUST_M, Rectangle
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Runs, Standing
from service.engine.survey.cavity import Framing, Layer

MEMBERS = Formula(
    code="members",
    name="Members, one at each edge",
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
    """Members over a size of `across_m` metres across them (MEMBERS).

    The ratio is rounded to 9 decimals first, so that 6.05 m at 600 mm with members
    of 50 mm has 11 and not 12.
    """
    member_m, spacing_m = sizes_m(framing=framing)
    return ceil(round((across_m - member_m) / spacing_m, 9)) + 1


@lru_cache(maxsize=32)  # each cavity asks for the same bays several times over
def bay_edges_m(*, framing: Framing, across_m: float) -> tuple[tuple[float, float], ...]:
    """Both edges of every bay in metres from the first member's outer edge."""
    member_m, spacing_m = sizes_m(framing=framing)
    count = member_count(framing=framing, across_m=across_m)
    starts = [
        round(min(index * spacing_m, across_m - (count - index) * member_m), 9) for index in range(count)
    ]
    edges = ((round(start + member_m, 9), end) for start, end in pairwise(starts))
    return tuple((left, right) for left, right in edges if right - left > DUST_M)


def segments_m(*, framing: Framing, along_m: float) -> tuple[tuple[float, float], ...]:
    """Both ends of each clear length of a bay in metres: between plates and rows of blocking."""
    plate_m, block_m = framing.plates_mm / 2000, framing.blocking_mm / 1000
    rows = framing.blocking_rows
    clear_m = (along_m - 2 * plate_m - rows * block_m) / (rows + 1)
    starts = [plate_m + index * (clear_m + block_m) for index in range(rows + 1)]
    return tuple((round(start, 9), round(start + clear_m, 9)) for start in starts)


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
        (bay, Rectangle(left_m=left, right_m=right, bottom_m=bottom, top_m=top))
        for bay, (left, right) in enumerate(bay_edges_m(framing=framing, across_m=width_m), start=1)
        for bottom, top in segments
    )
