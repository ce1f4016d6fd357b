"""The bays of a whole cavity: which layer they are counted in, and what its openings take of the plane.

Where all members run across the span the bays do too. The layout is then worked
out with both directions of the plane exchanged (`upright`). The functions expect
a cavity that `geometry` accepts.
"""

from dataclasses import replace
from typing import NamedTuple

from service.engine.geometry.bays import bay_edges_m, members, segments_m
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import Rectangle
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Framing, Layer, Opening

Ends = tuple[tuple[float, float], ...]

_TURNED = {Runs.ALONG: Runs.ACROSS, Runs.ACROSS: Runs.ALONG}


class Layout(NamedTuple):
    """What the plane of an upright cavity is cut by: worked out once, and read again and again.

    `framings` are the members of each layer, None where none are known. Bays are counted in
    the layer `working`, where the filler works: the innermost one with members along the span;
    without one, the innermost. `bays_m` are both edges in metres of each; without members the
    cavity is one bay. `lengths_m` are both ends of each part of a bay, under a straight upper
    edge: plates end it, and rows of blocking cut it only where it is `blocked`, through the full
    depth. `trimmed` are the openings that have a place with the timber round them, as framed
    layers have it, `boxed` those with the boards of their boxes, as open layers have it.
    """

    cavity: Cavity
    edge: Edge | None
    framings: tuple[Framing | None, ...]
    working: int
    blocked: bool
    bays_m: Ends
    lengths_m: Ends
    trimmed: tuple[Rectangle, ...]
    boxed: tuple[Rectangle, ...]

    @property
    def framing(self) -> Framing | None:
        """The members that the bays are counted by, if there are any."""
        return self.framings[self.working]

    @property
    def tied_m(self) -> float:
        """What plates take at each end of the bays, in metres."""
        return half_plates_m(framing=self.framing)


def layout_of(*, cavity: Cavity) -> Layout:
    """The layout of an upright cavity."""
    framings = _framings(cavity)
    along = [index for index, framing in enumerate(framings) if framing and framing.runs is Runs.ALONG]
    working = along[-1] if along else len(framings) - 1
    framing = framings[working]
    blocked = framing is not None and _blocked(framings, framing.blocking_rows)
    placed = [opening for opening in cavity.openings if opening.is_placed]
    return Layout(
        cavity=cavity,
        edge=edge_of(cavity=cavity),
        framings=framings,
        working=working,
        blocked=blocked,
        bays_m=bay_edges_m(framing=framing, across_m=cavity.width_m) if framing else ((0.0, cavity.width_m),),
        lengths_m=_lengths_m(cavity.span_m, framing, blocked=blocked),
        trimmed=tuple([outline(opening=each, past_m=each.trim_mm / 1000) for each in placed]),
        boxed=tuple([outline(opening=each, past_m=each.reveal_mm / 1000) for each in placed]),
    )


def is_turned(*, cavity: Cavity) -> bool:
    """Whether all members of the cavity run across its span, so that its bays do too."""
    across = [framing.runs is Runs.ACROSS for framing in _framings(cavity) if framing]
    return bool(across) and all(across)


def upright(*, cavity: Cavity) -> Cavity:
    """The cavity with its bays along the span: as it is, or with both directions exchanged."""
    if not is_turned(cavity=cavity):
        return cavity
    return replace(
        cavity,
        width_m=cavity.span_m,
        span_m=cavity.width_m,
        layers=tuple(_turned_layer(layer) for layer in cavity.layers),
        openings=tuple(_turned_opening(opening) for opening in cavity.openings),
    )


def edge_of(*, cavity: Cavity) -> Edge | None:
    """The upper edge of a cavity that has a profile."""
    return Edge(cavity.profile_m) if cavity.profile_m else None


def half_plates_m(*, framing: Framing | None) -> float:
    """What plates take at each end of the members, in metres."""
    return framing.plates_mm / 2000 if framing else 0.0


def outline(*, opening: Opening, past_m: float = 0.0) -> Rectangle:
    """The rectangle of an opening that has a place, `past_m` larger on every side."""
    left_m, bottom_m = opening.left_m or 0.0, opening.sill_m or 0.0
    right_m, top_m = left_m + opening.width_m, bottom_m + opening.height_m
    return Rectangle(left_m - past_m, right_m + past_m, bottom_m - past_m, top_m + past_m)


def _framings(cavity: Cavity) -> tuple[Framing | None, ...]:
    return tuple([members(layer=layer) for layer in cavity.layers])


def _blocked(framings: tuple[Framing | None, ...], rows: int) -> bool:
    """Whether rows of blocking cut the full depth: all layers have members along, and as many rows."""
    return all(
        framing and framing.runs is Runs.ALONG and framing.blocking_rows == rows for framing in framings
    )


def _lengths_m(span_m: float, framing: Framing | None, *, blocked: bool) -> Ends:
    if framing is None:
        return ((0.0, span_m),)
    if framing.blocking_rows and not blocked:
        framing = replace(framing, blocking_rows=0)
    return segments_m(framing=framing, along_m=span_m)


def _turned_layer(layer: Layer) -> Layer:
    if layer.framing is None:
        return layer
    return replace(layer, framing=replace(layer.framing, runs=_TURNED[layer.framing.runs]))


def _turned_opening(opening: Opening) -> Opening:
    return replace(
        opening,
        width_m=opening.height_m,
        height_m=opening.width_m,
        left_m=opening.sill_m,
        sill_m=opening.left_m,
    )
