"""Areas, volumes, timber and bays of a cavity.

Bays are those of one cavity; volumes and areas are of all identical ones.
"""

from dataclasses import dataclass

from service.engine.geometry.areas import across_and_along_m, clear_area_m2, insulated_area_m2
from service.engine.geometry.bays import bay_edges_m, member_count, members
from service.engine.geometry.layout import (
    cavity_bays_m,
    clear_lengths_m,
    clear_parts,
    placed_openings,
    upright,
)
from service.engine.geometry.refusals import refuse
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing
from service.engine.survey.cavity import Cavity, Layer
from service.errors import Fault, InvalidInput

GROSS = Formula(
    code="gross",
    name="Gross area and volume",
    expression=(
        "gross_area_m2 = count x width_m x span_m; gross_volume_m3 = gross_area_m2 x sum(depth_mm)/1000; "
        "depth_mm = sum(depth_mm)"
    ),
    source="plane geometry",
    standing=Standing.DERIVED,
)

NET_VOLUME = Formula(
    code="net_volume",
    name="Net volume",
    expression="sum(depth_mm/1000 x net_area_m2) - count x displaced_m3",
    source="plane geometry",
    standing=Standing.DERIVED,
)

TIMBER_PERCENT = Formula(
    code="timber_percent",
    name="Share of timber",
    expression=(
        "timber_percent = 100 x (1 - sum(depth_mm x net_area_m2)/(insulated_area_m2 x sum(depth_mm))); "
        "timber_fraction = 1 - net_area_m2/insulated_area_m2"
    ),
    source="plane geometry",
    standing=Standing.DERIVED,
)

_NOTHING = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerGeometry:
    """One layer: areas in m2 of all `count` cavities, timber as a share (0 to 1) of the area less openings.

    `members` and the clear `bay_widths_m` are of one cavity; 0 and empty without known members.
    """

    depth_mm: float
    gross_area_m2: float
    net_area_m2: float
    timber_fraction: float
    members: int
    bay_widths_m: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """A cavity: volumes in m3 and areas in m2 of all `count`; `bays` and clear widths in m of one.

    `gross_volume_m3` includes openings. `net_area_m2` is the insulated area: gross
    less openings. `timber_percent` is of the volume less openings. `bays_known` is
    false where a layer is known only by its timber fraction and no member is known:
    the one bay that is counted is then not the number of bays that will be met.
    """

    gross_volume_m3: float
    net_volume_m3: float
    gross_area_m2: float
    net_area_m2: float
    timber_percent: float
    depth_mm: float
    bays: int
    bay_widths_m: tuple[float, ...]
    layers: tuple[LayerGeometry, ...]
    bays_known: bool = True


def geometry(*, cavity: Cavity) -> Geometry:
    """Areas, volumes and bays of a cavity (NET_VOLUME, TIMBER_PERCENT).

    Bays are those of the innermost layer with members along the span; of members
    across it where there are no others; without members the cavity is one bay.

    Raises InvalidInput for a cavity that cannot be, with pointers relative to it
    such as `/layers/0/framing/member_mm`.
    """
    refuse(cavity=cavity)
    clear_m2 = tuple(clear_area_m2(cavity=cavity, layer=layer) for layer in cavity.layers)
    _refuse_nothing(cavity, clear_m2)
    gross_m2, insulated_m2 = cavity.width_m * cavity.span_m, insulated_area_m2(cavity=cavity)
    depth_m = cavity.depth_mm / 1000
    net_m3 = _volume_m3(cavity, clear_m2) - cavity.displaced_m3
    timber_m3 = _volume_m3(cavity, tuple(insulated_m2 - clear for clear in clear_m2))
    widths = tuple(_width_m(edges) for edges in cavity_bays_m(cavity=upright(cavity=cavity)))
    layers = zip(cavity.layers, clear_m2, strict=True)
    return Geometry(
        gross_volume_m3=gross_m2 * depth_m * cavity.count,
        net_volume_m3=net_m3 * cavity.count,
        gross_area_m2=gross_m2 * cavity.count,
        net_area_m2=insulated_m2 * cavity.count,
        timber_percent=100 * timber_m3 / (insulated_m2 * depth_m),
        depth_mm=cavity.depth_mm,
        bays=len(widths),
        bay_widths_m=widths,
        layers=tuple(_layer_geometry(cavity, layer, clear) for layer, clear in layers),
        bays_known=_bays_known(cavity),
    )


def _volume_m3(cavity: Cavity, areas_m2: tuple[float, ...]) -> float:
    layers = zip(cavity.layers, areas_m2, strict=True)
    return sum(layer.depth_mm / 1000 * area for layer, area in layers)


def _width_m(edges: tuple[float, float]) -> float:
    return round(edges[1] - edges[0], 9)


def _bays_known(cavity: Cavity) -> bool:
    framed = [layer for layer in cavity.layers if layer.framing is not None]
    return not framed or any(members(layer=layer) for layer in framed)


def _layer_geometry(cavity: Cavity, layer: Layer, clear_m2: float) -> LayerGeometry:
    framing, count = members(layer=layer), 0
    widths: tuple[float, ...] = ()
    if framing is not None:
        across_m, _ = across_and_along_m(cavity=cavity, framing=framing)
        count = member_count(framing=framing, across_m=across_m)
        widths = tuple(_width_m(edges) for edges in bay_edges_m(framing=framing, across_m=across_m))
    return LayerGeometry(
        depth_mm=layer.depth_mm,
        gross_area_m2=cavity.width_m * cavity.span_m * cavity.count,
        net_area_m2=clear_m2 * cavity.count,
        timber_fraction=1 - clear_m2 / insulated_area_m2(cavity=cavity),
        members=count,
        bay_widths_m=widths,
    )


def _covered(cavity: Cavity) -> bool:
    """Whether openings leave no part of any bay: looked at bay by bay only where they are large enough."""
    breadth_m = sum(right - left for left, right in cavity_bays_m(cavity=cavity))
    length_m = sum(top - bottom for bottom, top in clear_lengths_m(cavity=cavity))
    openings_m2 = sum(opening.area_m2 for opening in placed_openings(cavity=cavity))
    return openings_m2 > breadth_m * length_m / 2 and not any(clear_parts(cavity=cavity))


def _refuse_nothing(cavity: Cavity, clear_m2: tuple[float, ...]) -> None:
    least_m2 = _NOTHING * cavity.width_m * cavity.span_m
    faults = [
        Fault(f"/layers/{index}/framing", "Timber and openings leave no room for fill in this layer.")
        for index, clear in enumerate(clear_m2)
        if clear <= least_m2
    ]
    if not faults and cavity.displaced_m3 >= (1 - _NOTHING) * _volume_m3(cavity, clear_m2):
        faults = [Fault("/displaced_m3", "What stands in the cavity leaves no room for fill.")]
    if not faults and _covered(upright(cavity=cavity)):
        faults = [Fault("/openings", "The openings leave no part of any bay to be filled.")]
    if faults:
        raise InvalidInput(*faults)
