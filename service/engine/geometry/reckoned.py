"""What of a cavity lies in some of its bays, layer by layer: the lengths that its volume goes with."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from service.engine.geometry.areas import face_m2
from service.engine.geometry.bays import bay_edges_m, member_count, members
from service.engine.geometry.layout import edge_of, is_turned
from service.engine.geometry.plane import Plane
from service.engine.geometry.rectangles import Rectangle
from service.engine.geometry.sheets import Space
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Displaced, Framing, Layer


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """A layer of an upright cavity, and how much of it lies in a space.

    `kept_m` is the volume that goes with a clear m2, `part` the space's share of the layer's
    clear area, `net_m2` its area there. A metre more of the cavity's width is `across_m` of
    clear area a metre, one more of its span `along_m`. `between_members_m` adds up the bays,
    `member_length_m` is that of a member between its plates, `members` their number.
    """

    framing: Framing | None
    depth_m: float
    kept_m: float
    part: float
    net_m2: float
    across_m: float
    along_m: float
    between_members_m: float = 0.0
    member_length_m: float = 0.0
    members: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """Some of a cavity's compartments, by their `places` among all.

    `single` where they are one bay between members, whose clear width is `clear_width_m`.
    `filled_m3` and `bays_of` are of every compartment of the cavity, before anything is
    displaced; `groups` are the space's own clear spaces.
    """

    upright: Cavity
    turned: bool
    name: str
    single: bool
    clear_width_m: float
    insulated_m2: float
    volume_m3: float
    extents: tuple[Extent, ...]
    groups: tuple[tuple[Space, ...], ...]
    places: frozenset[int]
    filled_m3: tuple[float, ...]
    bays_of: tuple[tuple[int, ...], ...]
    areas_m2: tuple[tuple[float, float], ...]

    @property
    def aligned(self) -> bool:
        """Whether members of the framed layers stand opposite one another."""
        return self.upright.leaves_aligned

    @property
    def displaced(self) -> tuple[Displaced, ...]:
        """What takes room from the fill in the whole cavity."""
        return self.upright.displaced


def reckoned(*, laid_out: Plane, bays: Collection[int]) -> Reckoned:
    """The compartments that lie in these bays; all of them where an opening has no place."""
    balanced = laid_out.balanced
    groups, bays_of, filled = balanced.groups, balanced.bays, balanced.filled_m3
    places = [place for place, each in enumerate(bays_of) if set(each) <= set(bays)] or range(len(groups))
    within = sorted({bay for place in places for bay in bays_of[place]})
    single = len(within) == 1 and any(members(layer=layer) for layer in laid_out.cavity.layers)
    left_m, right_m = laid_out.bays_m[within[0] - 1]
    own = tuple(groups[place] for place in places)
    return Reckoned(
        upright=laid_out.upright,
        turned=is_turned(cavity=laid_out.cavity),
        name=str(within[0]) if single else f"{within[0]}-{within[-1]}",
        single=single,
        clear_width_m=right_m - left_m,
        insulated_m2=laid_out.insulated_m2,
        volume_m3=sum(filled[place] for place in places),
        extents=_extents(laid_out, own),
        groups=own,
        places=frozenset(places),
        filled_m3=filled,
        bays_of=bays_of,
        areas_m2=tuple((area.clear_m2, area.between_plates_m2) for area in laid_out.areas),
    )


def _extents(laid_out: Plane, groups: Sequence[Sequence[Space]]) -> tuple[Extent, ...]:
    cavity, clear_m2 = laid_out.upright, [0.0] * len(laid_out.areas)
    for group in groups:
        for space in group:
            if space.layer is not None:
                clear_m2[space.layer] += space.area_m2
    rows = zip(cavity.layers, laid_out.areas, laid_out.kept_m, clear_m2, strict=True)
    return tuple(
        _extent(cavity, layer, kept_m, clear / area.clear_m2, area.net_m2)
        for layer, area, kept_m, clear in rows
    )


def _extent(cavity: Cavity, layer: Layer, kept_m: float, part: float, net_m2: float) -> Extent:
    framing, mean_m = layer.framing, face_m2(cavity=cavity) / cavity.width_m
    if framing is None or framing.member_mm is None:
        return Extent(
            framing=framing,
            depth_m=layer.depth_mm / 1000,
            kept_m=kept_m,
            part=part,
            net_m2=net_m2 * part,
            across_m=mean_m,
            along_m=cavity.width_m,
        )
    turned = framing.runs is Runs.ACROSS
    across_m = cavity.span_m if turned else cavity.width_m
    between_m = sum(right - left for left, right in bay_edges_m(framing=framing, across_m=across_m))
    member_m = cavity.width_m - framing.plates_mm / 1000 if turned else _between_plates_m(cavity, framing)
    clear_m = member_m - framing.blocking_rows * framing.blocking_mm / 1000
    return Extent(
        framing=framing,
        depth_m=layer.depth_mm / 1000,
        kept_m=kept_m,
        part=part,
        net_m2=net_m2 * part,
        across_m=between_m if turned else clear_m,
        along_m=clear_m if turned else between_m,
        between_members_m=between_m,
        member_length_m=member_m,
        members=member_count(framing=framing, across_m=across_m),
    )


def _between_plates_m(cavity: Cavity, framing: Framing) -> float:
    """The mean height between the plates of members that run along."""
    half_m, edge = framing.plates_mm / 2000, edge_of(cavity=cavity)
    if edge is None:
        return cavity.span_m - 2 * half_m
    between = Rectangle(0.0, cavity.width_m, half_m, cavity.span_m)
    return edge.area_m2(between, drop_m=half_m) / cavity.width_m
