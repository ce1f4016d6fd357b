"""Which spaces of a cavity fill can move between.

Each layer is a set of clear rectangles. Rectangles that an opening leaves of one
space and that touch are connected, and so are rectangles of neighbouring layers
that overlap. Whatever is connected in the end is one compartment. An open layer
is closed at both ends by the plates that tie the leaves, and every layer by the
timber round an opening.
"""

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain, combinations, pairwise

from service.engine.geometry.bays import members, spaces
from service.engine.geometry.layout import cavity_bays_m, clear_lengths_m, placed_openings, working_index
from service.engine.geometry.rectangles import DUST_M, Rectangle, without_all
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Framing


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Space:
    """A clear rectangle of a layer; two spaces are never the same one.

    `layer` is the layer's index, None for the joint of two leaves that stand face to
    face. `bay` is set in the layer that bays are counted in. `column` is the bay in
    whose line the space lies, where that is certain.
    """

    area: Rectangle
    layer: int | None
    column: int | None
    bay: int | None


def connected_spaces(*, cavity: Cavity) -> tuple[tuple[Space, ...], ...]:
    """The spaces of an upright cavity in groups that fill cannot leave, each with some bay in it.

    A pocket that no bay opens to is put with the bay nearest to it.
    """
    stack = _cells(cavity)
    sheets = [[space for cell in cells for space in cell] for cells in stack]
    beside = (
        (one, other)
        for cells in stack
        for cell in cells
        for one, other in combinations(cell, 2)
        if one.area.touches(other.area)
    )
    behind = (
        pair
        for outer, inner in pairwise(sheets)
        for pair in _facing(outer, inner, dividers=cavity.dividers)
        if _meet(*pair, dividers=cavity.dividers)
    )
    groups = _grouped([space for sheet in sheets for space in sheet], chain(beside, behind))
    compartments = [group for group in groups if _opens_to_bays(group)]
    for pocket in (group for group in groups if not _opens_to_bays(group)):
        _nearest(pocket, compartments).extend(pocket)
    return tuple(tuple(group) for group in compartments)


def _cells(cavity: Cavity) -> list[list[tuple[Space, ...]]]:
    """The spaces of each layer and joint from the outside in, those that openings leave of one together."""
    counted, holes = working_index(cavity=cavity), placed_openings(cavity=cavity)
    stack = list(_stack(cavity))
    # Most leaves of a cavity are alike: each kind is cut once.
    cut = {
        framing: [(column, without_all((area,), holes)) for column, area in _areas(cavity, framing)]
        for framing in {framing for _, framing in stack}
    }
    return [
        [
            tuple(
                Space(area=piece, layer=index, column=column, bay=column if index == counted else None)
                for piece in pieces
            )
            for column, pieces in cut[framing]
        ]
        for index, framing in stack
    ]


def _stack(cavity: Cavity) -> Iterator[tuple[int | None, Framing | None]]:
    """Each layer's index and members, and a joint between leaves that stand face to face but not opposite."""
    framings = [members(layer=layer) for layer in cavity.layers]
    leaves = [framing is not None and framing.runs is Runs.ALONG for framing in framings]
    for index, framing in enumerate(framings):
        if not cavity.leaves_aligned and index and leaves[index] and leaves[index - 1]:
            yield None, None
        yield index, framing


def _areas(cavity: Cavity, framing: Framing | None) -> Iterator[tuple[int | None, Rectangle]]:
    """The clear rectangles of a layer with their columns, before openings are taken out.

    An open layer, a joint and members that cross the span go from plate to plate and
    are cut by dividers.
    """
    clear = spaces(framing=framing, width_m=cavity.width_m, span_m=cavity.span_m) if framing else ()
    if framing and framing.runs is Runs.ALONG:
        certain = clear[-1][0] == len(cavity_bays_m(cavity=cavity))
        yield from ((bay if certain else None, area) for bay, area in clear)
        return
    for column, whole in _columns(cavity):
        if framing is None:
            yield column, whole
        yield from ((column, area.within(whole)) for _, area in clear if area.overlaps(whole))


def _columns(cavity: Cavity) -> Iterator[tuple[int, Rectangle]]:
    bays = cavity_bays_m(cavity=cavity) if cavity.dividers else ()
    cuts_m = [0.0, *((left + right) / 2 for (_, left), (right, _) in pairwise(bays)), cavity.width_m]
    for column, (left_m, right_m) in enumerate(pairwise(cuts_m), start=1):
        for bottom_m, top_m in clear_lengths_m(cavity=cavity):
            yield column, Rectangle(left_m=left_m, right_m=right_m, bottom_m=bottom_m, top_m=top_m)


def _facing(outer: list[Space], inner: list[Space], *, dividers: bool) -> Iterator[tuple[Space, Space]]:
    """The pairs of two neighbouring sheets that can meet at all: so many that all cannot be tried."""
    yield from _abreast(*sorted((outer, inner), key=_widest_m))
    if dividers:
        columns: dict[int | None, list[Space]] = {}
        for space in inner:
            columns.setdefault(space.column, []).append(space)
        yield from ((one, other) for one in outer if one.column for other in columns.get(one.column, ()))


def _abreast(narrow: list[Space], wide: list[Space]) -> Iterator[tuple[Space, Space]]:
    """The pairs whose breadths overlap or nearly do; the narrow spaces are looked up from the left."""
    ordered, widest_m = sorted(narrow, key=_left_m), _widest_m(narrow)
    lefts_m = [_left_m(space) for space in ordered]
    for one in wide:
        first = bisect_left(lefts_m, one.area.left_m - widest_m)
        last = bisect_left(lefts_m, one.area.right_m)
        yield from ((one, other) for other in ordered[first:last])


def _left_m(space: Space) -> float:
    return space.area.left_m


def _widest_m(sheet: list[Space]) -> float:
    return max((space.area.right_m - space.area.left_m for space in sheet), default=0.0)


def _meet(outer: Space, inner: Space, *, dividers: bool) -> bool:
    if dividers and outer.column and inner.column:
        return outer.column == inner.column and outer.area.common_m(inner.area)[1] > DUST_M
    return outer.area.overlaps(inner.area)


def _grouped(nodes: list[Space], links: Iterable[tuple[Space, Space]]) -> list[list[Space]]:
    leader = {node: node for node in nodes}

    def lead(node: Space) -> Space:
        while leader[node] is not node:
            leader[node] = leader[leader[node]]
            node = leader[node]
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
