"""The clear spaces of each layer: what members, plates, blocking, trim, boxes and openings leave of it.

Every space is a rectangle, cut at its top where the cavity has a profile. All areas of a
cavity are sums over these, and fill moves between them. An open layer is closed at both
ends by the plates that tie the leaves: it has room there, but no way.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from service.engine.geometry.bays import spaces
from service.engine.geometry.layout import Layout, half_plates_m
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import DUST_M, Rectangle, without_all
from service.engine.ground.quick import row
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Framing


class Touch(NamedTuple):
    """An opening, by its number among those with a place, and how much of its right and top is touched."""

    opening: int
    beside_m: float
    over_m: float


_touch = row(Touch)


@dataclass(slots=True, eq=False)
class Space:
    """A clear space of a layer; two spaces are never the same one.

    `area` is the box round it, `area_m2` what lies under the upper edge. `way` is the part
    of the box that fill can pass from, None where plates or boards close it. `layer` is the
    layer's index, None for the joint of two leaves that stand face to face. `bay` is set in
    the layer that bays are counted in. `column` is the bay in whose line the space lies,
    where that is certain. `touches` are the openings with a place that it lies against.
    """

    area: Rectangle
    area_m2: float
    way: Rectangle | None
    layer: int | None
    column: int | None
    bay: int | None
    touches: tuple[Touch, ...]


Cell = tuple[Space, ...]


class Piece(NamedTuple):
    """What is left of a clear rectangle: as a space has it, without the layer it lies in."""

    area: Rectangle
    area_m2: float
    way: Rectangle | None
    touches: tuple[Touch, ...] = ()


_piece = row(Piece)
Column = tuple[int | None, list[Piece]]


class Kind(NamedTuple):
    """What a layer's spaces are cut by: its framing, its openings and how far below the edge it ends.

    An open layer has a way `between_m` the plates that close it, and so have members that cross.
    """

    framing: Framing | None
    holes: tuple[Rectangle, ...]
    drop_m: float
    between_m: tuple[float, float] | None


class Sheet:
    """A layer by its index, or with None a joint: what is left of each of its clear rectangles.

    `columns` are those rectangles with the bay in whose line each lies, as `Space` has it;
    bays are `counted` in one of the layers.
    """

    __slots__ = ("_cells", "columns", "counted", "kind", "layer")

    def __init__(self, kind: Kind, columns: list[Column], layer: int | None, *, counted: bool) -> None:
        self.kind, self.columns, self.layer, self.counted = kind, columns, layer, counted
        self._cells: list[Cell] = []

    @property
    def clear_m2(self) -> tuple[float, ...]:
        """The area of each space."""
        return tuple([area_m2 for _, pieces in self.columns for _, area_m2, _, _ in pieces])

    @property
    def cells(self) -> list[Cell]:
        """The spaces of each clear rectangle; made for who asks for them."""
        if not self._cells:
            self._cells = [self.cell(column) for column in self.columns]
        return self._cells

    def cell(self, column: Column) -> Cell:
        """The spaces of one clear rectangle."""
        at, pieces = column
        bay = at if self.counted else None
        return tuple(
            [
                Space(area, area_m2, way, self.layer, at, bay, touches)
                for area, area_m2, way, touches in pieces
            ]
        )


def sheets(*, layout: Layout) -> list[Sheet]:
    """The spaces of each layer and joint of an upright cavity, from the outside in.

    Spaces that openings or the upper edge leave of one clear rectangle stand together.
    """
    stack: list[Sheet] = []
    for index, kind in _stack(layout):
        alike = [sheet for sheet in stack if sheet.kind == kind]  # most leaves of a cavity: cut once
        columns = alike[0].columns if alike else _cut(layout, kind)
        stack.append(Sheet(kind, columns, index, counted=index == layout.working))
    return stack


def _stack(layout: Layout) -> Iterator[tuple[int | None, Kind]]:
    """Each layer's index, and a joint between leaves that stand face to face but not opposite."""
    cavity, framings, tied_m = layout.cavity, layout.framings, layout.tied_m
    leaves = [framing is not None and framing.runs is Runs.ALONG for framing in framings]
    between_m = (tied_m, cavity.span_m - tied_m)
    for index, (layer, framing) in enumerate(zip(cavity.layers, framings, strict=True)):
        if not cavity.leaves_aligned and index and leaves[index] and leaves[index - 1]:
            yield None, Kind(framing=None, holes=layout.trimmed, drop_m=tied_m, between_m=between_m)
        holes = layout.boxed if layer.framing is None else layout.trimmed
        if leaves[index]:
            yield index, Kind(framing, holes, half_plates_m(framing=framing), None)
        else:
            yield index, Kind(framing, holes, 0.0, between_m)


def _cut(layout: Layout, kind: Kind) -> list[Column]:
    """What openings and the upper edge leave of each clear rectangle; most openings lie far from it."""
    edge, between_m = layout.edge, kind.between_m
    spans_m = [(hole[0] - DUST_M, hole[1] + DUST_M, (number, hole)) for number, hole in enumerate(kind.holes)]
    cut: list[Column] = []
    for column, area in _areas(layout, kind.framing):
        left_m, right_m, bottom_m, top_m = area
        near = [each for first_m, last_m, each in spans_m if first_m <= right_m and left_m <= last_m]
        if near or edge:
            if pieces := _pieces(area, near, kind, edge):
                cut.append((column, pieces))
        else:
            area_m2 = (right_m - left_m) * (top_m - bottom_m)
            way = _way(area, between_m) if between_m else area
            cut.append((column, [_piece((area, area_m2, way, ()))]))
    return cut


_Near = tuple[int, Rectangle]  # an opening by its number among those with a place


def _pieces(area: Rectangle, near: list[_Near], kind: Kind, edge: Edge | None) -> list[Piece]:
    pieces = without_all((area,), [hole for _, hole in near])
    if edge is None:
        between_m = kind.between_m
        return [
            _piece((each, each.area_m2, _way(each, between_m) if between_m else each, _touches(each, near)))
            for each in pieces
        ]
    return [
        Piece(
            under,
            edge.area_m2(under, drop_m=kind.drop_m),
            _way(under, kind.between_m),
            _touches(under, near),
        )
        for each in pieces
        for under in edge.under(each, drop_m=kind.drop_m)
    ]


def _touches(area: Rectangle, near: list[_Near]) -> tuple[Touch, ...]:
    """Where a space lies against the right side of an opening, or over its top."""
    left_m, right_m, bottom_m, top_m = area
    found = []
    for number, (left, right, bottom, top) in near:
        beside, over = abs(left_m - right) <= DUST_M, abs(bottom_m - top) <= DUST_M
        if beside or over:
            beside_m = max(0.0, min(top_m, top) - max(bottom_m, bottom)) if beside else 0.0
            over_m = max(0.0, min(right_m, right) - max(left_m, left)) if over else 0.0
            found.append(_touch((number, beside_m, over_m)))
    return tuple(found)


def _way(area: Rectangle, between_m: tuple[float, float] | None) -> Rectangle | None:
    if between_m is None:
        return area
    bottom_m, top_m = max(area.bottom_m, between_m[0]), min(area.top_m, between_m[1])
    return Rectangle(area.left_m, area.right_m, bottom_m, top_m) if top_m > bottom_m else None


def _areas(layout: Layout, framing: Framing | None) -> Sequence[tuple[int | None, Rectangle]]:
    """The clear rectangles of a layer with their columns, before openings and the upper edge cut them.

    An open layer, a joint and members that cross the span are cut by dividers.
    """
    cavity = layout.cavity
    if framing is None:
        return list(_columns(layout))
    clear = spaces(framing=framing, width_m=cavity.width_m, span_m=cavity.span_m)
    if framing.runs is Runs.ALONG:
        certain = clear[-1][0] == len(layout.bays_m)
        return clear if certain else [(None, area) for _, area in clear]
    return [
        (column, area.within(whole))
        for column, whole in _columns(layout)
        for _, area in clear
        if area.overlaps(whole)
    ]


def _columns(layout: Layout) -> Iterator[tuple[int, Rectangle]]:
    cavity, lengths = layout.cavity, layout.lengths_m
    bays = layout.bays_m if cavity.dividers else ()
    cuts_m = [0.0, *((left + right) / 2 for (_, left), (right, _) in pairwise(bays)), cavity.width_m]
    # Where blocking cuts the full depth there is no layer but framed ones: what is cut here is a joint.
    lengths_m = lengths if len(lengths) > 1 else ((0.0, cavity.span_m),)
    for column, (left_m, right_m) in enumerate(pairwise(cuts_m), start=1):
        for bottom_m, top_m in lengths_m:
            yield column, Rectangle(left_m, right_m, bottom_m, top_m)
