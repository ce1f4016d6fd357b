"""The bays of a whole cavity: which layer they are counted in, and what openings leave of them.

Where all members run across the span the bays do too. The layout is then worked
out with both directions of the plane exchanged (`upright`). The functions expect
a cavity that `geometry` accepts.
"""

from dataclasses import replace

from service.engine.geometry.bays import bay_edges_m, members, segments_m
from service.engine.geometry.rectangles import Rectangle, without_all
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


def clear_lengths_m(*, cavity: Cavity) -> tuple[tuple[float, float], ...]:
    """Both ends in metres of each part of an upright cavity's bays.

    Plates end a bay; a row of blocking cuts it only where it goes through the full
    depth, that is where every layer has members along the span and as many rows.
    """
    framings = [members(layer=layer) for layer in cavity.layers]
    working = working_framing(cavity=cavity)
    if working is None:
        return ((0.0, cavity.span_m),)
    through = all(
        framing and framing.runs is Runs.ALONG and framing.blocking_rows == working.blocking_rows
        for framing in framings
    )
    blocked = working if through else replace(working, blocking_rows=0)
    return segments_m(framing=blocked, along_m=cavity.span_m)


def clear_parts(*, cavity: Cavity) -> tuple[tuple[Rectangle, ...], ...]:
    """The clear rectangles of each bay of an upright cavity, from the bottom up.

    An opening that has a place leaves one under it, one over it and one of full
    height beside it where it ends within the bay; a bay that it fills has none.
    """
    holes = placed_openings(cavity=cavity)
    lengths = clear_lengths_m(cavity=cavity)
    columns = (
        tuple(Rectangle(left_m=left, right_m=right, bottom_m=bottom, top_m=top) for bottom, top in lengths)
        for left, right in cavity_bays_m(cavity=cavity)
    )
    return tuple(
        tuple(sorted(without_all(column, holes), key=lambda part: (part.bottom_m, part.left_m)))
        for column in columns
    )


def placed_openings(*, cavity: Cavity) -> tuple[Rectangle, ...]:
    """The openings that have a place; where any layer is framed, with the timber round them."""
    framed = any(layer.framing is not None for layer in cavity.layers)
    return tuple(
        outline(opening=opening, trim_m=opening.trim_mm / 1000 if framed else 0.0)
        for opening in cavity.openings
        if opening.left_m is not None
    )


def outline(*, opening: Opening, trim_m: float = 0.0) -> Rectangle:
    """The rectangle of an opening that has a place, `trim_m` larger on every side."""
    left_m, bottom_m = opening.left_m or 0.0, opening.sill_m or 0.0
    return Rectangle(
        left_m=left_m - trim_m,
        right_m=left_m + opening.width_m + trim_m,
        bottom_m=bottom_m - trim_m,
        top_m=bottom_m + opening.height_m + trim_m,
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
