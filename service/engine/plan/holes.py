"""Where the holes go, and what closes them.

Heights run up the cavity's span (a wall's height, a joist's or rafter's length)
from its lower end, x from its left edge.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated, NamedTuple

from service.engine.geometry.compartments import Part
from service.engine.ground.formula import Formula
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.quick import maker, quick, row
from service.engine.ground.shapes import Metres, Millimetres
from service.engine.ground.vocabulary import Standing
from service.engine.survey.practice import Patching

HOLES = Formula(
    code="holes",
    expression=(
        "holes = count x sum(holes_of_part); patches = holes; holes_of_part = "
        "ceil(length/(2 x reach)) x ceil(breadth/(2 x reach)), one where any length is reached"
    ),
    source="what is reached from a hole lies within its reach both ways",
    standing=Standing.DERIVED,
)
PATCH = Formula(
    code="patch",
    expression="hole_mm + 2 x past_hole_mm",
    source="common practice",
    standing=Standing.COMMON_PRACTICE,
)
TAPE = Formula(
    code="tape",
    expression=(
        "patches x max(patch_width_mm, patch_height_mm)/1000 "
        "x max(1, ceil((min(patch_width_mm, patch_height_mm) - lap_mm)/(roll_mm - lap_mm)))"
    ),
    source="strips along the longer side cover the shorter when each adds the roll's width less the lap",
    standing=Standing.DERIVED,
)

FORMULAS = (HOLES, PATCH, TAPE)

CUT_TO_TIMBER = message("plan.cut_to_the_timber")
DUST = 1e-9  # of a stretch: a part of exactly two reaches must not get a second hole


class Size(NamedTuple):
    """Breadth and height on the facing, in mm."""

    width_mm: float
    height_mm: float


_size = row(Size)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """One hole in the facing of one of the identical cavities; `x_m`, `height_m` are its middle."""

    number: Annotated[int, "number of the hole in its cavity"]
    bay: Annotated[int, "number of the bay"]
    part: Annotated[int, "number of the part of the bay"]
    x_m: Annotated[Metres, "middle of the hole from the lower left corner"]
    height_m: Annotated[Metres, "middle of the hole above the lower edge"]
    width_mm: Annotated[Millimetres, "breadth"]
    height_mm: Annotated[Millimetres, "height"]
    note: Annotated[Message | None, "what the crew must know of it"]


_hole = maker(Hole)


def stretches(*, length_mm: float, reach_m: float | None) -> int:
    """Into how many equal stretches a length falls so that each is reached from its middle.

    `reach_m` is what is reached both ways; None reaches any length.
    """
    if reach_m is None or length_mm <= 2000 * reach_m:
        return 1
    return math.ceil(length_mm / (2000 * reach_m) - DUST)


def part_size(*, part: Part) -> Size:
    """Clear breadth and height of a part, in mm; to the nanometre, so that equal parts are found equal."""
    _, _, bottom_m, top_m, left_m, right_m, _ = part
    return Size(_side_mm(right_m - left_m), _side_mm(top_m - bottom_m))


def sized(*, parts: Iterable[Part]) -> list[tuple[Part, Size]]:
    """The parts with their sizes; most of a cavity are as large as others."""
    found, sides_mm = [], dict[float, float]()
    for part in parts:
        _, _, bottom_m, top_m, left_m, right_m, _ = part
        wide_m, high_m = right_m - left_m, top_m - bottom_m
        width_mm = sides_mm.get(wide_m) or sides_mm.setdefault(wide_m, _side_mm(wide_m))
        height_mm = sides_mm.get(high_m) or sides_mm.setdefault(high_m, _side_mm(high_m))
        found.append((part, _size((width_mm, height_mm))))
    return found


def counted(*, sized: Iterable[tuple[Part, Size]]) -> dict[Size, int]:
    """How many parts have each size."""
    number: dict[Size, int] = {}
    for _, size in sized:
        number[size] = number.get(size, 0) + 1
    return number


def _side_mm(side_m: float) -> float:
    return round(side_m * 1000, 6)


def passes(*, size: Size, tool_mm: float) -> bool:
    """Whether a hose or lance of this diameter goes into a part: it must be thinner than the part."""
    return tool_mm < size[0] and tool_mm < size[1]


def holes_in(*, sizes: Mapping[Size, int], reach_m: float | None) -> int:
    """How many holes all parts take (HOLES); `sizes` says how many parts have each size."""
    holes = sum(sizes.values())
    if reach_m is None:
        return holes
    whole_mm = 2000 * reach_m
    for (width_mm, height_mm), number in sizes.items():
        if width_mm > whole_mm or height_mm > whole_mm:
            across = stretches(length_mm=width_mm, reach_m=reach_m) if width_mm > whole_mm else 1
            along = stretches(length_mm=height_mm, reach_m=reach_m) if height_mm > whole_mm else 1
            holes += number * (across * along - 1)
    return holes


def place(
    *, parts: Iterable[tuple[Part, Size]], hole: Size, reach_m: float | None, tool_mm: float
) -> tuple[Hole, ...]:
    """The holes of one cavity, numbered bay by bay from the left and upwards in the bay.

    `parts` come each with its size. Each hole sits in the middle of one of the equal
    stretches of its part and lies wholly inside it: where the part is smaller than
    `hole`, the hole is as large as the part, and its note says what to do. `tool_mm`
    is the diameter of the hose or lance.
    """
    cuts: dict[Size, _Cut] = {}  # most parts of a cavity are as large as others
    holes: list[Hole] = []
    for part, size in sorted(parts):
        cut = cuts.get(size)
        if cut is None:
            cut = cuts[size] = _cut(size, hole, reach_m, tool_mm)
        across, along, width_mm, height_mm, note = cut
        for x_m, height_m in _middles(part, across, along):
            holes.append(
                _hole(
                    number=len(holes) + 1,
                    bay=part[0],
                    part=part[1],
                    x_m=x_m,
                    height_m=height_m,
                    width_mm=width_mm,
                    height_mm=height_mm,
                    note=note,
                )
            )
    return tuple(holes)


class _Cut(NamedTuple):
    """The holes of a part of some size: how many across and along it, how large, and with what note."""

    across: int
    along: int
    width_mm: float
    height_mm: float
    note: Message | None


def _cut(size: Size, hole: Size, reach_m: float | None, tool_mm: float) -> _Cut:
    (width_mm, height_mm), (wide_mm, high_mm) = size, hole
    return _Cut(
        stretches(length_mm=width_mm, reach_m=reach_m),
        stretches(length_mm=height_mm, reach_m=reach_m),
        wide_mm if wide_mm < width_mm else width_mm,
        high_mm if high_mm < height_mm else height_mm,
        _note(size, hole, tool_mm),
    )


def patch_size(*, hole: Size, patching: Patching) -> Size:
    """The patch of a hole: `past_hole_mm` beyond it all round."""
    past_mm = 2 * patching.past_hole_mm
    return Size(width_mm=hole.width_mm + past_mm, height_mm=hole.height_mm + past_mm)


def tape_m(*, patches: int, patch: Size, patching: Patching) -> float:
    """Metres of tape off the roll for so many patches.

    A patch is cut along its longer side, in as many strips as it takes. The lap
    is less than the roll's width.
    """
    shorter_mm, longer_mm = sorted((patch.width_mm, patch.height_mm))
    gain_mm = patching.roll_mm - patching.lap_mm
    strips = max(1, math.ceil((shorter_mm - patching.lap_mm) / gain_mm - DUST))
    return patches * strips * longer_mm / 1000


def _middles(part: Part, across: int, along: int) -> list[tuple[float, float]]:
    """The middles of a part's stretches, x and height in metres, upwards."""
    _, _, bottom_m, top_m, left_m, right_m, _ = part
    wide_m, high_m = (right_m - left_m) / 2, (top_m - bottom_m) / 2
    if across == along == 1:
        return [(left_m + wide_m, bottom_m + high_m)]
    return [
        (left_m + wide_m * (2 * column + 1) / across, bottom_m + high_m * (2 * row + 1) / along)
        for row in range(along)
        for column in range(across)
    ]


def _note(size: Size, hole: Size, tool_mm: float) -> Message | None:
    if not passes(size=size, tool_mm=tool_mm):
        width, height = Quantity(size.width_mm, "mm"), Quantity(size.height_mm, "mm")
        return message("plan.tight_space", width=width, height=height)
    if size[0] < hole[0] or size[1] < hole[1]:
        return CUT_TO_TIMBER
    return None
