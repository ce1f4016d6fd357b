"""Which spaces of a cavity fill can move between.

Spaces that an opening leaves of one clear rectangle and that touch are connected, and so
are spaces of neighbouring layers that overlap. Whatever is connected in the end is one
compartment.
"""

from bisect import bisect_left
from collections.abc import Iterator
from itertools import combinations, pairwise

from service.engine.geometry.layout import edge_of, half_plates_m, working_framing
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import DUST_M
from service.engine.geometry.sheets import Space
from service.engine.survey.cavity import Cavity

Pair = tuple[Space, Space]


def connected_spaces(*, cavity: Cavity, stack: list[list[tuple[Space, ...]]]) -> list[list[Space]]:
    """The spaces of an upright cavity in groups that fill cannot leave, each with some bay in it.

    `stack` is what `sheets` makes of the cavity. A pocket that no bay opens to is put with
    the bay nearest to it; where no layer has any room at a bay there are no groups.
    """
    edge, tied_m = edge_of(cavity=cavity), half_plates_m(framing=working_framing(cavity=cavity))
    spaces = [[space for cell in cells for space in cell] for cells in stack]
    pairs = _beside(stack)
    for outer, inner in pairwise(map(_passable, spaces)):
        pairs += _behind(outer, inner, dividers=cavity.dividers)
    if edge:
        pairs = [pair for pair in pairs if _under(*pair, edge=edge, drop_m=tied_m)]
    groups = _grouped([space for each in spaces for space in each], pairs)
    compartments = [group for group in groups if _opens_to_bays(group)]
    if len(compartments) < len(groups):
        for pocket in (group for group in groups if compartments and not _opens_to_bays(group)):
            _nearest(pocket, compartments).extend(pocket)
    return compartments


def _passable(sheet: list[Space]) -> list[Space]:
    return [space for space in sheet if space.way]


def _beside(stack: list[list[tuple[Space, ...]]]) -> list[Pair]:
    """What an opening leaves of one clear rectangle and still touches."""
    return [
        (one, other)
        for cells in stack
        for cell in cells
        if len(cell) > 1
        for one, other in combinations(cell, 2)
        if one.way and other.way and one.way.touches(other.way)
    ]


def _behind(outer: list[Space], inner: list[Space], *, dividers: bool) -> list[Pair]:
    """What overlaps of two neighbouring sheets: so many that all cannot be tried."""
    narrow, wide = sorted((outer, inner), key=_widest_m)
    if not dividers:
        return _overlapping(narrow, wide)
    columns: dict[int | None, list[Space]] = {}
    for space in inner:
        columns.setdefault(space.column, []).append(space)
    beside = ((one, other) for one in outer if one.column for other in columns.get(one.column, ()))
    return [pair for pair in (*_abreast(narrow, wide), *beside) if _meet(*pair)]


def _under(one: Space, other: Space, *, edge: Edge, drop_m: float) -> bool:
    """Whether there is a way between two that meet, as far as the upper edge leaves room."""
    assert one.way
    assert other.way
    left, right = sorted(sorted((*one.way[:2], *other.way[:2]))[1:3])
    bottom = max(one.way.bottom_m, other.way.bottom_m)
    return edge.clears(left_m=left, right_m=right, level_m=bottom, drop_m=drop_m)


def _overlapping(narrow: list[Space], wide: list[Space]) -> list[Pair]:
    return [
        (one, other)
        for one, other in _abreast(narrow, wide)
        if one.way and other.way and one.way.overlaps(other.way)
    ]


def _abreast(narrow: list[Space], wide: list[Space]) -> Iterator[Pair]:
    """The pairs whose breadths overlap or nearly do; the narrow spaces are looked up from the left."""
    ordered, widest_m = sorted(narrow, key=_left_m), _widest_m(narrow)
    lefts_m = [space.area.left_m for space in ordered]
    for one in wide:
        first = bisect_left(lefts_m, one.area.left_m - widest_m)
        last = bisect_left(lefts_m, one.area.right_m)
        for other in ordered[first:last]:
            yield one, other


def _left_m(space: Space) -> float:
    return space.area.left_m


def _widest_m(sheet: list[Space]) -> float:
    return max([space.area.right_m - space.area.left_m for space in sheet], default=0.0)


def _meet(one: Space, other: Space) -> bool:
    """Whether fill passes between two spaces where dividers close the open layer at each member."""
    assert one.way
    assert other.way
    if one.column and other.column:
        return one.column == other.column and one.way.common_m(other.way)[1] > DUST_M
    return one.way.overlaps(other.way)


def _grouped(nodes: list[Space], links: list[Pair]) -> list[list[Space]]:
    if not links:
        return [[node] for node in nodes]
    leader = {node: node for node in nodes}

    def lead(node: Space) -> Space:
        while (above := leader[node]) is not node:
            leader[node] = node = leader[above]
        return node

    for one, other in links:
        leader[lead(one)] = lead(other)
    groups: dict[Space, list[Space]] = {}
    for node in nodes:
        groups.setdefault(lead(node), []).append(node)
    return list(groups.values())


def _opens_to_bays(group: list[Space]) -> bool:
    return any(space.bay for space in group)


def _nearest(pocket: list[Space], compartments: list[list[Space]]) -> list[Space]:
    def distance_m(group: list[Space]) -> float:
        return min(
            abs(one.area.left_m + one.area.right_m - other.area.left_m - other.area.right_m)
            for one in pocket
            for other in group
            if other.bay
        )

    return min(compartments, key=distance_m)
