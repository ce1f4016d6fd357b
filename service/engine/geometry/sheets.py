"""The clear spaces of each layer: what members, plates, blocking, trim, boxes and openings leave of it.

Every space is a rectangle, cut at its top where the cavity has a profile. All areas of a
cavity are sums over these, and fill moves between them. An open layer is closed at both
ends by the plates that tie the leaves: it has room there, but no way.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from service.engine.geometry.bays import members, spaces
from service.engine.geometry.layout import (
    boxed_openings,
    cavity_bays_m,
    clear_lengths_m,
    edge_of,
    half_plates_m,
    trimmed_openings,
    working_framing,
    working_index,
)
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import Rectangle, without_all
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Framing


@dataclass(slots=True, eq=False)
class Space:
    """A clear space of a layer; two spaces are never the same one.

    `area` is the box round it, `area_m2` what lies under the upper edge. `way` is the part
    of the box that fill can pass from, None where plates or boards close it. `layer` is the
    layer's index, None for the joint of two leaves that stand face to face. `bay` is set in
    the layer that bays are counted in. `column` is the bay in whose line the space lies,
    where that is certain.
    """

    area: Rectangle
    area_m2: float
    way: Rectangle | None
    layer: int | None
    column: int | None
    bay: int | None


Piece = tuple[Rectangle, float, Rectangle | None]
Cut = list[tuple[int | None, list[Piece]]]


class _Sheet(NamedTuple):
    """What a layer's spaces are cut by: its kind, the openings in it and how far below the edge it ends."""

    framing: Framing | None
    holes: tuple[Rectangle, ...]
    drop_m: float
    between_m: tuple[float, float] | None


def sheets(*, cavity: Cavity) -> list[list[tuple[Space, ...]]]:
    """The spaces of each layer and joint of an upright cavity, from the outside in.

    Spaces that openings or the upper edge leave of one clear rectangle stand together.
    """
    counted = working_index(cavity=cavity)
    cuts: dict[_Sheet, Cut] = {}  # most leaves of a cavity are alike: each kind is cut once
    stack = []
    for index, sheet in _stack(cavity):
        if sheet not in cuts:
            cuts[sheet] = _cut(cavity, sheet)
        stack.append(
            [
                tuple(
                    [
                        Space(area, area_m2, way, index, column, column if index == counted else None)
                        for area, area_m2, way in pieces
                    ]
                )
                for column, pieces in cuts[sheet]
            ]
        )
    return stack


def _stack(cavity: Cavity) -> Iterator[tuple[int | None, _Sheet]]:
    """Each layer's index, and a joint between leaves that stand face to face but not opposite."""
    framings = [members(layer=layer) for layer in cavity.layers]
    leaves = [framing is not None and framing.runs is Runs.ALONG for framing in framings]
    trimmed, boxed = trimmed_openings(cavity=cavity), boxed_openings(cavity=cavity)
    tied_m = half_plates_m(framing=working_framing(cavity=cavity))
    between_m = (tied_m, cavity.span_m - tied_m)
    for index, (layer, framing) in enumerate(zip(cavity.layers, framings, strict=True)):
        if not cavity.leaves_aligned and index and leaves[index] and leaves[index - 1]:
            yield None, _Sheet(framing=None, holes=trimmed, drop_m=tied_m, between_m=between_m)
        yield (
            index,
            _Sheet(
                framing=framing,
                holes=boxed if layer.framing is None else trimmed,
                drop_m=half_plates_m(framing=framing) if leaves[index] else 0.0,
                between_m=None if leaves[index] else between_m,
            ),
        )


def _cut(cavity: Cavity, sheet: _Sheet) -> Cut:
    edge = edge_of(cavity=cavity)
    return [
        (column, _under(pieces, sheet, edge) if edge else _plain(pieces, sheet.between_m))
        for column, area in _areas(cavity, sheet.framing)
        if (pieces := without_all((area,), sheet.holes))
    ]


def _plain(pieces: tuple[Rectangle, ...], between_m: tuple[float, float] | None) -> list[Piece]:
    if between_m is None:
        return [(piece, piece.area_m2, piece) for piece in pieces]
    return [(piece, piece.area_m2, _way(piece, between_m)) for piece in pieces]


def _under(pieces: tuple[Rectangle, ...], sheet: _Sheet, edge: Edge) -> list[Piece]:
    return [
        (under, edge.area_m2(under, drop_m=sheet.drop_m), _way(under, sheet.between_m))
        for piece in pieces
        for under in edge.under(piece, drop_m=sheet.drop_m)
    ]


def _way(area: Rectangle, between_m: tuple[float, float] | None) -> Rectangle | None:
    if between_m is None:
        return area
    bottom_m, top_m = max(area.bottom_m, between_m[0]), min(area.top_m, between_m[1])
    return Rectangle(area.left_m, area.right_m, bottom_m, top_m) if top_m > bottom_m else None


def _areas(cavity: Cavity, framing: Framing | None) -> Iterator[tuple[int | None, Rectangle]]:
    """The clear rectangles of a layer with their columns, before openings and the upper edge cut them.

    An open layer, a joint and members that cross the span are cut by dividers.
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
    lengths = clear_lengths_m(cavity=cavity)
    # Where blocking cuts the full depth there is no layer but framed ones: what is cut here is a joint.
    lengths_m = lengths if len(lengths) > 1 else ((0.0, cavity.span_m),)
    for column, (left_m, right_m) in enumerate(pairwise(cuts_m), start=1):
        for bottom_m, top_m in lengths_m:
            yield column, Rectangle(left_m, right_m, bottom_m, top_m)
