"""The bays of a whole cavity: which layer they are counted in, and what its openings take of the plane.

Where all members run across the span the bays do too. The layout is then worked
out with both directions of the plane exchanged (`upright`). The functions expect
a cavity that `geometry` accepts.
"""

from dataclasses import replace

from service.engine.geometry.bays import bay_edges_m, members, segments_m
from service.engine.geometry.profile import Edge
from service.engine.geometry.rectangles import Rectangle
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Framing, Layer, Opening

_TURNED = {Runs.ALONG: Runs.ACROSS, Runs.ACROSS: Runs.ALONG}


def is_turned(*, cavity: Cavity) -> bool:
    """Whether all members of the cavity run across its span, so that its bays do too."""
    known = (members(layer=layer) for layer in cavity.layers)
    return {framing.runs for framing in known if framing} == {Runs.ACROSS}


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


def working_index(*, cavity: Cavity) -> int:
    """The index of the layer that the bays of an upright cavity are counted in: where the filler works.

    The innermost layer with members along the span; without one, the innermost layer.
    """
    framings = enumerate(members(layer=layer) for layer in cavity.layers)
    along = [index for index, framing in framings if framing and framing.runs is Runs.ALONG]
    return along[-1] if along else len(cavity.layers) - 1


def working_framing(*, cavity: Cavity) -> Framing | None:
    """The members that the bays of an upright cavity are counted by, if there are any."""
    return members(layer=cavity.layers[working_index(cavity=cavity)])


def cavity_bays_m(*, cavity: Cavity) -> tuple[tuple[float, float], ...]:
    """Both edges in metres of each bay of an upright cavity; without members the cavity is one bay."""
    framing = working_framing(cavity=cavity)
    if framing is None:
        return ((0.0, cavity.width_m),)
    return bay_edges_m(framing=framing, across_m=cavity.width_m)


def blocked_through(*, cavity: Cavity) -> bool:
    """Whether rows of blocking cut the full depth: all layers have members along, and as many rows."""
    working = working_framing(cavity=cavity)
    return working is not None and all(
        framing and framing.runs is Runs.ALONG and framing.blocking_rows == working.blocking_rows
        for framing in (members(layer=layer) for layer in cavity.layers)
    )


def clear_lengths_m(*, cavity: Cavity) -> tuple[tuple[float, float], ...]:
    """Both ends in metres of each part of an upright cavity's bays, under a straight upper edge.

    Plates end a bay; a row of blocking cuts it only where it goes through the full depth.
    """
    working = working_framing(cavity=cavity)
    if working is None:
        return ((0.0, cavity.span_m),)
    if working.blocking_rows and not blocked_through(cavity=cavity):
        working = replace(working, blocking_rows=0)
    return segments_m(framing=working, along_m=cavity.span_m)


def half_plates_m(*, framing: Framing | None) -> float:
    """What plates take at each end of the members, in metres."""
    return framing.plates_mm / 2000 if framing else 0.0


def trimmed_openings(*, cavity: Cavity) -> tuple[Rectangle, ...]:
    """The openings that have a place, with the timber round them, as framed layers have it."""
    return tuple(
        outline(opening=each, past_m=each.trim_mm / 1000) for each in cavity.openings if each.is_placed
    )


def boxed_openings(*, cavity: Cavity) -> tuple[Rectangle, ...]:
    """The openings that have a place, with the boards of their boxes, as open layers have it."""
    return tuple(
        outline(opening=each, past_m=each.reveal_mm / 1000) for each in cavity.openings if each.is_placed
    )


def outline(*, opening: Opening, past_m: float = 0.0) -> Rectangle:
    """The rectangle of an opening that has a place, `past_m` larger on every side."""
    left_m, bottom_m = opening.left_m or 0.0, opening.sill_m or 0.0
    return Rectangle(
        left_m - past_m,
        left_m + opening.width_m + past_m,
        bottom_m - past_m,
        bottom_m + opening.height_m + past_m,
    )


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
