"""Which spaces of a cavity fill can move between.

Spaces that an opening leaves of one clear rectangle and that touch are connected, and so
are spaces of neighbouring layers that overlap. Whatever is connected in the end is one
compartment.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from itertools import pairwise

from service.engine.geometry.layout import Layout
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import DUST_M
from service.engine.geometry.sheets import Cell, Sheet, Space

Pair = tuple[Space, Space]


def connected_spaces(*, layout: Layout, stack: list[Sheet]) -> list[list[Space]]:
    """The spaces of an upright cavity in groups that fill cannot leave, each with some bay in it.

    `stack` is what `sheets` makes of the cavity. A pocket that no bay opens to is put with
    the bay nearest to it; where no layer has any room at a bay there are no groups.
    """
    edge = layout.edge
    if layout.cavity.dividers and not edge and all(_columns_certain(sheet) for sheet in stack):
        return _with_bays([group for column in _by_column(stack) for group in _in_column(column)])
    spaces = [[space for cell in sheet.cells for space in cell] for sheet in stack]
    pairs = _beside(stack)
    for outer, inner in pairwise(spaces):
        pairs += _behind(outer, inner, dividers=layout.cavity.dividers)
    if edge:
        pairs = [pair for pair in pairs if _under(*pair, edge=edge, drop_m=layout.tied_m)]
    return _with_bays(_grouped([space for each in spaces for space in each], pairs))


def _columns_certain(sheet: Sheet) -> bool:
    return all(column for column, _ in sheet.columns)


def _by_column(stack: list[Sheet]) -> Iterable[list[list[Cell]]]:
    """The cells of each column, sheet by sheet: dividers leave no way from one column to another."""
    columns: dict[int | None, list[list[Cell]]] = {}
    for place, sheet in enumerate(stack):
        for (column, _), cell in zip(sheet.columns, sheet.cells, strict=True):
            if column not in columns:
                columns[column] = [[] for _ in stack]
            columns[column][place].append(cell)
    return columns.values()


def _in_column(column: list[list[Cell]]) -> list[list[Space]]:
    """What hangs together in a column; most have one space in each layer."""
    spaces = [[space for cell in cells for space in cell] for cells in column]
    alone = [each[0] for each in spaces if len(each) == 1]
    if len(alone) == len(spaces) and all(_abreast_of(one, other) for one, other in pairwise(alone)):
        return [alone]
    pairs = [pair for cells in column for cell in cells if len(cell) > 1 for pair in _touching(cell)]
    for outer, inner in pairwise(spaces):
        pairs += [(one, other) for one in outer for other in inner if _abreast_of(one, other)]
    return _grouped([space for each in spaces for space in each], pairs)


def _abreast_of(one: Space, other: Space) -> bool:
    """Whether two spaces of neighbouring layers and of one column have some height in common."""
    if not one.way or not other.way:
        return False
    (_, _, bottom_m, top_m), (_, _, bottom, top) = one.way, other.way
    return min(top_m, top) - max(bottom_m, bottom) > DUST_M


def parted(*, cell: Cell, layout: Layout) -> list[list[Space]]:
    """What is left of one clear rectangle, in groups that hang together."""
    edge, pairs = layout.edge, list(_touching(cell))
    if edge:
        pairs = [pair for pair in pairs if _under(*pair, edge=edge, drop_m=layout.tied_m)]
    return _grouped(list(cell), pairs)


def _with_bays(groups: list[list[Space]]) -> list[list[Space]]:
    """The groups that open to bays; pockets go with the nearest."""
    compartments = [group for group in groups if _opens_to_bays(group)]
    if len(compartments) < len(groups):
        for pocket in (group for group in groups if compartments and not _opens_to_bays(group)):
            _nearest(pocket, compartments).extend(pocket)
    return compartments


def _beside(stack: list[Sheet]) -> list[Pair]:
    """What an opening leaves of one clear rectangle and still touches."""
    split = [cell for sheet in stack for cell in sheet.cells if len(cell) > 1]
    return [pair for cell in split for pair in _touching(cell)]


def _touching(cell: Cell) -> Iterator[Pair]:
    """Pair by pair, from the left, as far as they are not apart."""
    ordered = sorted([space for space in cell if space.way], key=_left_m)
    for place, one in enumerate(ordered, start=1):
        for other in ordered[place:]:
            if other.area[0] - one.area[1] >= DUST_M:
                break
            if one.way and other.way and one.way.touches(other.way):
                yield one, other


def _left_m(space: Space) -> float:
    return space.area[0]


def _behind(outer: list[Space], inner: list[Space], *, dividers: bool) -> list[Pair]:
    """What overlaps of two neighbouring sheets: so many that all cannot be tried."""
    outer, inner = ([space for space in sheet if space.way] for sheet in (outer, inner))
    (narrow_m, narrow), (wide_m, wide) = (_widest_m(outer), outer), (_widest_m(inner), inner)
    if wide_m < narrow_m:
        narrow_m, narrow, wide = wide_m, inner, outer
    abreast = _abreast(narrow, narrow_m, wide)
    if not dividers:
        return abreast
    columns: dict[int | None, list[Space]] = {}
    for space in inner:
        columns.setdefault(space.column, []).append(space)
    beside = [(one, other) for one in outer if one.column for other in columns.get(one.column, ())]
    return [pair for pair in abreast + beside if _meet(*pair)]


def _under(one: Space, other: Space, *, edge: Edge, drop_m: float) -> bool:
    """Whether there is a way between two that meet, as far as the upper edge leaves room."""
    assert one.way
    assert other.way
    left, right = sorted(sorted((*one.way[:2], *other.way[:2]))[1:3])
    bottom = max(one.way.bottom_m, other.way.bottom_m)
    return edge.clears(left_m=left, right_m=right, level_m=bottom, drop_m=drop_m)


def _abreast(narrow: list[Space], widest_m: float, wide: list[Space]) -> list[Pair]:
    """The pairs that overlap; of spaces no broader than `widest_m` those near are looked up from the left."""
    ordered = sorted([(space.area.left_m, place) for place, space in enumerate(narrow)])
    pairs = []
    for one in wide:
        assert one.way
        left_m, right_m, bottom_m, top_m = one.way
        first, last = bisect_left(ordered, (left_m - widest_m,)), bisect_left(ordered, (right_m,))
        for _, place in ordered[first:last]:
            other = narrow[place]
            assert other.way
            left, right, bottom, top = other.way
            if (  # as `Rectangle.overlaps` does, a hundred times in a cavity
                left + DUST_M < right_m
                and left_m + DUST_M < right
                and bottom + DUST_M < top_m
                and bottom_m + DUST_M < top
            ):
                pairs.append((one, other))
    return pairs


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
    group_of = {node: [node] for node in nodes}
    for one, other in links:
        group, joined = group_of[one], group_of[other]
        if group is not joined:
            if len(group) < len(joined):
                group, joined = joined, group
            group += joined
            group_of.update(dict.fromkeys(joined, group))
    groups: dict[int, list[Space]] = {}
    for node in nodes:
        groups.setdefault(id(group_of[node]), []).append(node)
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
