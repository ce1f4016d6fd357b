"""The lengths that the volume of each layer goes with, and where openings with a place touch its spaces."""

from collections.abc import Sequence
from dataclasses import dataclass

from service.engine.geometry.areas import LayerArea, face_m2
from service.engine.geometry.bays import bay_edges_m, member_count
from service.engine.geometry.layout import edge_of
from service.engine.geometry.rectangles import Rectangle
from service.engine.geometry.sheets import Touch
from service.engine.ground.quick import maker, quick
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Framing, Layer, Opening

Touched = tuple[tuple[float, float], ...]


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Lengths:
    """A layer of an upright cavity, and what a metre more of each of its sizes takes or gives.

    `kept_m` is the volume that goes with a clear m2, `area` the layer's. A metre more of the
    cavity's width is `across_m` of clear area a metre, one more of its span `along_m`.
    `between_members_m` adds up the bays, `member_length_m` is that of a member between its
    plates, `members` their number and `set_out_m` what they are set out over.
    """

    framing: Framing | None
    depth_m: float
    kept_m: float
    area: LayerArea
    across_m: float
    along_m: float
    between_members_m: float = 0.0
    member_length_m: float = 0.0
    members: int = 0
    set_out_m: float = 0.0


_lengths = maker(Lengths)


def lengths_of(*, cavity: Cavity, layer: Layer, area: LayerArea, kept_m: float, mean_m: float) -> Lengths:
    """The lengths of a layer of an upright cavity whose mean height is `mean_m`."""
    framing = layer.framing
    if framing is None or framing.member_mm is None:
        return _lengths(
            framing=framing,
            depth_m=layer.depth_mm / 1000,
            kept_m=kept_m,
            area=area,
            across_m=mean_m,
            along_m=cavity.width_m,
        )
    turned = framing.runs is Runs.ACROSS
    across_m = cavity.span_m if turned else cavity.width_m
    between_m = sum([right - left for left, right in bay_edges_m(framing=framing, across_m=across_m)])
    member_m = cavity.width_m - framing.plates_mm / 1000 if turned else _between_plates_m(cavity, framing)
    clear_m = member_m - framing.blocking_rows * framing.blocking_mm / 1000
    return _lengths(
        framing=framing,
        depth_m=layer.depth_mm / 1000,
        kept_m=kept_m,
        area=area,
        across_m=between_m if turned else clear_m,
        along_m=clear_m if turned else between_m,
        between_members_m=between_m,
        member_length_m=member_m,
        members=member_count(framing=framing, across_m=across_m),
        set_out_m=across_m,
    )


def mean_height_m(*, cavity: Cavity) -> float:
    """The mean height of an upright cavity, under its upper edge."""
    return face_m2(cavity=cavity) / cavity.width_m


def past_m(*, opening: Opening, framing: Framing | None) -> float:
    """How far the timber of an opening, or in an open layer the boards of its box, reach beyond it."""
    return (opening.trim_mm if framing else opening.reveal_mm) / 1000


def touched_m2(
    *, openings: Sequence[Opening], kept_m: Sequence[float], touching: Sequence[tuple[int, tuple[Touch, ...]]]
) -> Touched:
    """What a metre more of each opening's width and of its height takes of some spaces, in m2.

    Their volume that lies against its right side, and over its top; nothing of one without a
    place, and none at all where nothing is touched. `touching` are the spaces' layers and
    touches, `kept_m` is the volume that goes with a clear m2 of each layer.
    """
    placed = [place for place, opening in enumerate(openings) if opening.is_placed]
    taken = [(0.0, 0.0)] * len(openings)
    for layer, touches in touching:
        for opening, beside_m, over_m in touches:
            (right_m2, top_m2), kept = taken[placed[opening]], kept_m[layer]
            taken[placed[opening]] = right_m2 + kept * beside_m, top_m2 + kept * over_m
    return tuple(taken) if touching else ()


def _between_plates_m(cavity: Cavity, framing: Framing) -> float:
    """The mean height between the plates of members that run along."""
    half_m, edge = framing.plates_mm / 2000, edge_of(cavity=cavity)
    if edge is None:
        return cavity.span_m - 2 * half_m
    between = Rectangle(0.0, cavity.width_m, half_m, cavity.span_m)
    return edge.area_m2(between, drop_m=half_m) / cavity.width_m
