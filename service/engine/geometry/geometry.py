"""Areas, volumes, timber and bays of a cavity.

Bays are those of one cavity; volumes and areas are of all identical ones.
"""

from dataclasses import dataclass
from typing import Annotated

from service.engine.geometry.bays import bay_edges_m
from service.engine.geometry.plane import Plane, plane
from service.engine.ground.formula import Formula
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import CubicMetres, Metres, Millimetres, Percent, SquareMetres, Unit
from service.engine.ground.vocabulary import Standing
from service.engine.survey.cavity import Cavity

GROSS = Formula(
    code="gross",
    expression=(
        "gross_area_m2 = count x face_m2; gross_volume_m3 = gross_area_m2 x sum(depth_mm)/1000; "
        "depth_mm = sum(depth_mm)"
    ),
    source="plane geometry",
    standing=Standing.DERIVED,
)

NET_VOLUME = Formula(
    code="net_volume",
    expression="sum(depth_mm/1000 x net_area_m2) - count x displaced_m3",
    source="plane geometry",
    standing=Standing.DERIVED,
)

TIMBER_PERCENT = Formula(
    code="timber_percent",
    expression=(
        "timber_percent = 100 x (1 - sum(depth_mm x net_area_m2)/(insulated_area_m2 x sum(depth_mm))); "
        "timber_fraction = 1 - net_area_m2/insulated_area_m2"
    ),
    source="plane geometry",
    standing=Standing.DERIVED,
)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class LayerGeometry:
    """One layer: areas in m2 of all `count` cavities, timber as a share (0 to 1) of the area less openings.

    `members` and the clear `bay_widths_m` are of one cavity; 0 and empty without known members.
    """

    depth_mm: Annotated[Millimetres, "depth of the layer"]
    gross_area_m2: Annotated[SquareMetres, "area with openings"]
    net_area_m2: Annotated[SquareMetres, "area that timber and openings leave for fill"]
    timber_fraction: Annotated[float, Unit(""), "timber as a share of the area less openings"]
    members: Annotated[int, "members of one cavity; 0 where they are not known"]
    bay_widths_m: Annotated[tuple[Metres, ...], "clear widths of the bays of one cavity"]


_layer = maker(LayerGeometry)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """A cavity: volumes in m3 and areas in m2 of all `count`; `bays` and clear widths in m of one.

    `gross_volume_m3` includes openings. `net_area_m2` is the insulated area: gross
    less openings. `timber_percent` is of the volume less openings. `bays_known` is
    false where a layer is known only by its timber fraction and no member is known:
    the one bay that is counted is then not the number of bays that will be met.
    """

    gross_volume_m3: Annotated[CubicMetres, "volume with openings"]
    net_volume_m3: Annotated[CubicMetres, "volume to be filled"]
    gross_area_m2: Annotated[SquareMetres, "area with openings"]
    net_area_m2: Annotated[SquareMetres, "insulated area: less openings"]
    timber_percent: Annotated[Percent, "timber in the volume less openings"]
    depth_mm: Annotated[Millimetres, "depth of all layers"]
    bays: Annotated[int, "bays of one cavity"]
    bay_widths_m: Annotated[tuple[Metres, ...], "clear widths of the bays"]
    layers: Annotated[tuple[LayerGeometry, ...], "layer by layer"]
    bays_known: Annotated[bool, "false where no member is known: then bays are not what will be met"] = True


_geometry = maker(Geometry)


def geometry(*, cavity: Cavity) -> Geometry:
    """Areas, volumes and bays of a cavity (NET_VOLUME, TIMBER_PERCENT).

    Bays are those of the innermost layer with members along the span; of members
    across it where there are no others; without members the cavity is one bay.

    Raises InvalidInput for a cavity that cannot be, with pointers relative to it
    such as `/layers/0/framing/member_mm`.
    """
    return measured(laid_out=plane(cavity=cavity))


def measured(*, laid_out: Plane) -> Geometry:
    """The areas, volumes and bays of a cavity that is laid out."""
    cavity, insulated_m2 = laid_out.cavity, laid_out.insulated_m2
    gross_m2, depth_m = laid_out.face_m2, cavity.depth_mm / 1000
    timber_m3 = insulated_m2 * depth_m - laid_out.filled_m3
    widths = _widths_m(laid_out.layout.bays_m)
    return _geometry(
        gross_volume_m3=gross_m2 * depth_m * cavity.count,
        net_volume_m3=laid_out.net_volume_m3 * cavity.count,
        gross_area_m2=gross_m2 * cavity.count,
        net_area_m2=insulated_m2 * cavity.count,
        timber_percent=max(0.0, 100 * timber_m3 / (insulated_m2 * depth_m)),
        depth_mm=cavity.depth_mm,
        bays=len(widths),
        bay_widths_m=widths,
        layers=tuple([_layer_geometry(laid_out, place, widths) for place in range(len(cavity.layers))]),
        bays_known=_bays_known(laid_out),
    )


def _widths_m(bays_m: tuple[tuple[float, float], ...]) -> tuple[float, ...]:
    return tuple([round(right - left, 9) for left, right in bays_m])


def _bays_known(laid_out: Plane) -> bool:
    return any(laid_out.layout.framings) or all(layer.framing is None for layer in laid_out.cavity.layers)


def _layer_geometry(laid_out: Plane, place: int, widths_m: tuple[float, ...]) -> LayerGeometry:
    """A layer; most leaves have the bays of the one that they are counted in, of these `widths_m`."""
    count, net_m2 = laid_out.cavity.count, laid_out.areas[place].net_m2
    layout, lengths = laid_out.layout, laid_out.lengths[place]
    framing = layout.framings[place]
    if framing is None:
        widths_m = ()
    elif framing != layout.framing:
        widths_m = _widths_m(bay_edges_m(framing=framing, across_m=lengths.set_out_m))
    return _layer(
        depth_mm=laid_out.cavity.layers[place].depth_mm,
        gross_area_m2=laid_out.face_m2 * count,
        net_area_m2=net_m2 * count,
        timber_fraction=max(0.0, 1 - net_m2 / laid_out.insulated_m2),
        members=lengths.members,
        bay_widths_m=widths_m,
    )
