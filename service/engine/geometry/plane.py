"""A cavity laid out in its plane: everything that areas, volumes, bays and compartments are read from."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from service.engine.geometry.areas import LayerArea, face_m2, insulated_area_m2, layer_area
from service.engine.geometry.connections import connected_spaces
from service.engine.geometry.layout import cavity_bays_m, upright
from service.engine.geometry.lengths import Lengths, Touch, lengths_of, mean_height_m, touches
from service.engine.geometry.refusals import refuse
from service.engine.geometry.sheets import Space, sheets
from service.engine.ground.messages import message
from service.engine.survey.cavity import Cavity
from service.errors import Fault, InvalidInput

_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Balanced:
    """What is balanced as one, one by one: its clear spaces, its bays, and what is clear in it, in m3.

    `filled_m3` is the volume before anything is displaced; `touched` says where its spaces
    lie against openings, opening by opening.
    """

    groups: tuple[tuple[Space, ...], ...]
    bays: tuple[tuple[int, ...], ...]
    filled_m3: tuple[float, ...]
    touched: tuple[tuple[tuple[Touch, ...], ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """One of the identical cavities: as surveyed, and `upright` with its bays along the span.

    `groups` are the clear spaces that fill moves between, by bay and from the bottom up.
    `clear_m2` are the areas of each layer's clear spaces, `areas` what follows from them, and
    `lengths` what its volume goes with. `balanced` are the compartments. `face_m2` is the whole
    area, `insulated_m2` that less openings, `bays_m` are both edges of each bay.
    """

    cavity: Cavity
    upright: Cavity
    groups: tuple[tuple[Space, ...], ...]
    clear_m2: tuple[tuple[float, ...], ...]
    areas: tuple[LayerArea, ...]
    lengths: tuple[Lengths, ...]
    balanced: Balanced
    face_m2: float
    insulated_m2: float
    bays_m: tuple[tuple[float, float], ...]

    @property
    def filled_m3(self) -> float:
        """The volume that timber and openings leave, before anything is displaced."""
        layers = zip(self.cavity.layers, self.areas, strict=True)
        return sum(layer.depth_mm / 1000 * area.net_m2 for layer, area in layers)

    @property
    def net_volume_m3(self) -> float:
        """The volume that is left for fill."""
        return self.filled_m3 - self.cavity.displaced_m3


def plane(*, cavity: Cavity) -> Plane:
    """Lay a cavity out; raises InvalidInput for one that cannot be, with pointers relative to it."""
    refuse(cavity=cavity)
    standing = upright(cavity=cavity)
    stack = sheets(cavity=standing)
    clear_m2: list[list[float]] = [[] for _ in cavity.layers]
    for cells in stack:
        for cell in cells:
            for space in cell:
                if space.layer is not None:
                    clear_m2[space.layer].append(space.area_m2)
    connected = connected_spaces(cavity=standing, stack=stack)
    groups = tuple(map(tuple, sorted(connected, key=_place) if len(connected) > 1 else connected))
    areas = tuple(
        layer_area(cavity=cavity, layer=layer, clear_m2=sum(clear))
        for layer, clear in zip(cavity.layers, clear_m2, strict=True)
    )
    lengths = _lengths(standing, areas)
    laid_out = Plane(
        cavity=cavity,
        upright=standing,
        groups=groups,
        clear_m2=tuple(map(tuple, clear_m2)),
        areas=areas,
        lengths=lengths,
        balanced=_balanced(standing, groups, lengths),
        face_m2=face_m2(cavity=cavity),
        insulated_m2=insulated_area_m2(cavity=cavity),
        bays_m=cavity_bays_m(cavity=standing),
    )
    _refuse_nothing(laid_out)
    return laid_out


def _lengths(standing: Cavity, areas: tuple[LayerArea, ...]) -> tuple[Lengths, ...]:
    """Layer by layer; a m2 of its clear spaces holds its depth less what has no place in them."""
    mean_m = mean_height_m(cavity=standing)
    return tuple(
        lengths_of(
            cavity=standing,
            layer=layer,
            area=area,
            kept_m=layer.depth_mm / 1000 * area.net_m2 / area.clear_m2 if area.clear_m2 else 0.0,
            mean_m=mean_m,
        )
        for layer, area in zip(standing.layers, areas, strict=True)
    )


def _balanced(
    standing: Cavity, groups: tuple[tuple[Space, ...], ...], lengths: tuple[Lengths, ...]
) -> Balanced:
    """Where an opening has no place, nobody knows which space it takes its room from: all are one."""
    if standing.unplaced and groups:
        groups = (tuple(chain.from_iterable(groups)),)
    kept_m = [each.kept_m for each in lengths]
    return Balanced(
        groups=groups,
        bays=tuple(map(bays_in, groups)),
        filled_m3=tuple(
            sum([kept_m[space.layer] * space.area_m2 for space in group if space.layer is not None])
            for group in groups
        ),
        touched=touches(cavity=standing, groups=groups),
    )


def bays_in(spaces: Iterable[Space]) -> tuple[int, ...]:
    """The numbers of the bays that some of these spaces lie in."""
    return tuple(sorted({bay for space in spaces if (bay := space.bay)}))


def _place(group: list[Space]) -> tuple[float, ...]:
    places = [(space.bay, space.area) for space in group if space.bay]
    bays, areas = zip(*places, strict=True)
    return (
        min(bays),
        min([area.bottom_m for area in areas]),
        min([area.left_m for area in areas]),
    )


def _refuse_nothing(laid_out: Plane) -> None:
    cavity = laid_out.cavity
    least_m2 = _NOTHING * cavity.width_m * cavity.span_m
    faults = [] if laid_out.groups else [Fault("/openings", message("geometry.no_room_in_bays"))]
    faults = faults or [
        Fault(f"/layers/{index}/framing", message("geometry.no_room_in_layer"))
        for index, area in enumerate(laid_out.areas)
        if area.net_m2 <= least_m2
    ]
    if not faults and cavity.displaced_m3 >= (1 - _NOTHING) * laid_out.filled_m3:
        faults = [Fault("/displaced", message("geometry.displaced_all"))]
    if not faults and len(laid_out.groups) > 1:
        faults = [
            Fault(f"/layers/{index}/framing/members", message("geometry.places_of_members_needed"))
            for index, layer in enumerate(cavity.layers)
            if layer.framing and layer.framing.members is not None
        ]
    if faults:
        raise InvalidInput(*faults)
