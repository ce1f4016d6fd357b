"""A cavity laid out in its plane: everything that areas, volumes, bays and compartments are read from."""

from dataclasses import dataclass

from service.engine.geometry.areas import LayerArea, face_m2, layer_area
from service.engine.geometry.balance import Balanced, as_one, by_groups, in_one_layer
from service.engine.geometry.connections import connected_spaces
from service.engine.geometry.layout import Layout, layout_of, upright
from service.engine.geometry.lengths import Lengths, lengths_of, mean_height_m
from service.engine.geometry.open_layers import is_one_space
from service.engine.geometry.refusals import refuse
from service.engine.geometry.sheets import Column, Sheet, sheets
from service.engine.ground.messages import message
from service.engine.ground.quick import maker, quick
from service.engine.survey.cavity import Cavity
from service.errors import Fault, InvalidInput

_NOTHING = 1e-9


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """One of the identical cavities: as surveyed, and its `layout` with its bays along the span.

    `counted` are the clear pieces of the layer that bays are counted in, bay by bay. `clear_m2` are
    the areas of each layer's clear spaces, `areas` what follows from them, and `lengths` what its
    volume goes with. `balanced` are the compartments. `face_m2` is the whole area,
    `insulated_m2` that less openings, `filled_m3` the volume that timber and openings leave,
    before anything is displaced.
    """

    cavity: Cavity
    layout: Layout
    counted: list[Column]
    clear_m2: tuple[tuple[float, ...], ...]
    areas: tuple[LayerArea, ...]
    lengths: tuple[Lengths, ...]
    balanced: Balanced
    face_m2: float
    insulated_m2: float
    filled_m3: float

    @property
    def upright(self) -> Cavity:
        """The cavity with its bays along the span."""
        return self.layout.cavity

    @property
    def bays_m(self) -> tuple[tuple[float, float], ...]:
        """Both edges of each bay, in metres."""
        return self.layout.bays_m

    @property
    def net_volume_m3(self) -> float:
        """The volume that is left for fill."""
        return self.filled_m3 - self.cavity.displaced_m3


_plane = maker(Plane)


def plane(*, cavity: Cavity) -> Plane:
    """Lay a cavity out; raises InvalidInput for one that cannot be, with pointers relative to it."""
    refuse(cavity=cavity)
    layout = layout_of(cavity=upright(cavity=cavity))
    stack = sheets(layout=layout)
    layers = [sheet for sheet in stack if sheet.layer is not None]
    clear_m2 = tuple([sheet.clear_m2 for sheet in layers])
    areas = tuple(
        [
            layer_area(cavity=cavity, layer=layer, clear_m2=sum(clear))
            for layer, clear in zip(cavity.layers, clear_m2, strict=True)
        ]
    )
    lengths = _lengths(layout.cavity, areas)
    whole_m2 = face_m2(cavity=cavity)
    laid_out = _plane(
        cavity=cavity,
        layout=layout,
        counted=layers[layout.working].columns,
        clear_m2=clear_m2,
        areas=areas,
        lengths=lengths,
        balanced=_balanced(layout, stack, clear_m2, lengths),
        face_m2=whole_m2,
        insulated_m2=whole_m2 - cavity.openings_m2,
        filled_m3=sum(
            [layer.depth_mm / 1000 * area.net_m2 for layer, area in zip(cavity.layers, areas, strict=True)]
        ),
    )
    _refuse_nothing(laid_out)
    return laid_out


def _balanced(
    layout: Layout, stack: list[Sheet], clear_m2: tuple[tuple[float, ...], ...], lengths: tuple[Lengths, ...]
) -> Balanced:
    if is_one_space(layout=layout, stack=stack):
        whole_m2 = tuple(map(sum, clear_m2))
        return as_one(layout=layout, stack=stack, clear_m2=whole_m2, lengths=lengths)
    if len(stack) == 1 and not layout.cavity.unplaced:
        return in_one_layer(layout=layout, sheet=stack[0], lengths=lengths)
    groups = connected_spaces(layout=layout, stack=stack)
    return by_groups(layout=layout, groups=groups, lengths=lengths)


def _lengths(standing: Cavity, areas: tuple[LayerArea, ...]) -> tuple[Lengths, ...]:
    """Layer by layer; a m2 of its clear spaces holds its depth less what has no place in them."""
    mean_m = mean_height_m(cavity=standing)
    return tuple(
        [
            lengths_of(
                cavity=standing,
                layer=layer,
                area=area,
                kept_m=layer.depth_mm / 1000 * area.net_m2 / area.clear_m2 if area.clear_m2 else 0.0,
                mean_m=mean_m,
            )
            for layer, area in zip(standing.layers, areas, strict=True)
        ]
    )


def _refuse_nothing(laid_out: Plane) -> None:
    cavity = laid_out.cavity
    least_m2 = _NOTHING * cavity.width_m * cavity.span_m
    faults = [] if laid_out.balanced.apart else [Fault("/openings", message("geometry.no_room_in_bays"))]
    faults = faults or [
        Fault(f"/layers/{index}/framing", message("geometry.no_room_in_layer"))
        for index, area in enumerate(laid_out.areas)
        if area.net_m2 <= least_m2
    ]
    if not faults and cavity.displaced_m3 >= (1 - _NOTHING) * laid_out.filled_m3:
        faults = [Fault("/displaced", message("geometry.displaced_all"))]
    if not faults and len(laid_out.balanced.apart) > 1:
        faults = [
            Fault(f"/layers/{index}/framing/members", message("geometry.places_of_members_needed"))
            for index, layer in enumerate(cavity.layers)
            if layer.framing and layer.framing.members is not None
        ]
    if faults:
        raise InvalidInput(*faults)
