"""A cavity laid out in its plane: everything that areas, volumes, bays and compartments are read from."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import chain

from service.engine.geometry.areas import LayerArea, face_m2, insulated_area_m2, layer_area
from service.engine.geometry.connections import connected_spaces
from service.engine.geometry.layout import Layout, layout_of, upright
from service.engine.geometry.lengths import Lengths, Touched, lengths_of, mean_height_m, touched_m2
from service.engine.geometry.refusals import refuse
from service.engine.geometry.sheets import Cell, Space, sheets
from service.engine.ground.messages import message
from service.engine.ground.quick import quick
from service.engine.survey.cavity import Cavity
from service.errors import Fault, InvalidInput

_NOTHING = 1e-9


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Balanced:
    """What is balanced as one, one by one: its bays, its clear area in each layer, and what is clear in it.

    `filled_m3` is the volume before anything is displaced; `touched_m2` what each opening
    touches of it. `in_bay` says which of them lie in a bay.
    """

    bays: tuple[tuple[int, ...], ...]
    clear_m2: tuple[tuple[float, ...], ...]
    filled_m3: tuple[float, ...]
    touched_m2: tuple[Touched, ...]
    in_bay: Mapping[int, list[int]]


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """One of the identical cavities: as surveyed, and its `layout` with its bays along the span.

    `counted` are the clear spaces of the layer that bays are counted in, `groups` all those that
    fill moves between, by bay and from the bottom up. `clear_m2` are the areas of each layer's
    clear spaces, `areas` what follows from them, and `lengths` what its volume goes with.
    `balanced` are the compartments. `face_m2` is the whole area, `insulated_m2` that less openings.
    """

    cavity: Cavity
    layout: Layout
    counted: list[Cell]
    groups: tuple[tuple[Space, ...], ...]
    clear_m2: tuple[tuple[float, ...], ...]
    areas: tuple[LayerArea, ...]
    lengths: tuple[Lengths, ...]
    balanced: Balanced
    face_m2: float
    insulated_m2: float

    @property
    def upright(self) -> Cavity:
        """The cavity with its bays along the span."""
        return self.layout.cavity

    @property
    def bays_m(self) -> tuple[tuple[float, float], ...]:
        """Both edges of each bay, in metres."""
        return self.layout.bays_m

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
    layout = layout_of(cavity=upright(cavity=cavity))
    stack = sheets(layout=layout)
    layers = [sheet.cells for sheet in stack if sheet.layer is not None]
    clear_m2 = tuple([tuple([space.area_m2 for cell in cells for space in cell]) for cells in layers])
    connected = connected_spaces(layout=layout, stack=stack)
    groups = tuple(map(tuple, sorted(connected, key=_place) if len(connected) > 1 else connected))
    areas = tuple(
        layer_area(cavity=cavity, layer=layer, clear_m2=sum(clear))
        for layer, clear in zip(cavity.layers, clear_m2, strict=True)
    )
    lengths = _lengths(layout.cavity, areas)
    laid_out = Plane(
        cavity=cavity,
        layout=layout,
        counted=layers[layout.working],
        groups=groups,
        clear_m2=clear_m2,
        areas=areas,
        lengths=lengths,
        balanced=_balanced(layout, groups, lengths),
        face_m2=face_m2(cavity=cavity),
        insulated_m2=insulated_area_m2(cavity=cavity),
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
    layout: Layout, groups: tuple[tuple[Space, ...], ...], lengths: tuple[Lengths, ...]
) -> Balanced:
    """Where an opening has no place, nobody knows which space it takes its room from: all are one."""
    if layout.cavity.unplaced and groups:
        groups = (tuple(chain.from_iterable(groups)),)
    kept_m = [each.kept_m for each in lengths]
    bays = tuple(map(bays_in, groups))
    in_bay: dict[int, list[int]] = {}
    for place, of in enumerate(bays):
        for bay in of:
            in_bay.setdefault(bay, []).append(place)
    return Balanced(
        bays=bays,
        clear_m2=tuple([_clear_m2(group, len(lengths)) for group in groups]),
        filled_m3=tuple(
            [
                sum([kept_m[space.layer] * space.area_m2 for space in group if space.layer is not None])
                for group in groups
            ]
        ),
        touched_m2=touched_m2(layout=layout, kept_m=kept_m, groups=groups),
        in_bay=in_bay,
    )


def _clear_m2(group: Iterable[Space], layers: int) -> tuple[float, ...]:
    clear_m2 = [0.0] * layers
    for space in group:
        if space.layer is not None:
            clear_m2[space.layer] += space.area_m2
    return tuple(clear_m2)


def bays_in(spaces: Iterable[Space]) -> tuple[int, ...]:
    """The numbers of the bays that some of these spaces lie in."""
    return tuple(sorted({space.bay for space in spaces if space.bay}))


def _place(group: list[Space]) -> tuple[float, ...]:
    places = [(space.bay, space.area.bottom_m, space.area.left_m) for space in group if space.bay]
    return places[0] if len(places) == 1 else tuple(map(min, zip(*places, strict=True)))


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
