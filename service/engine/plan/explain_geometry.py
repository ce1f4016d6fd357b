"""The working behind a cavity's areas, volumes and compartments."""

from collections.abc import Iterator

from service.engine.geometry.areas import (
    FRACTION_AREA,
    INSULATED_AREA,
    NET_AREA,
    across_and_along_m,
    openings_m2,
    trim_m2,
)
from service.engine.geometry.bays import MEMBERS
from service.engine.geometry.compartments import COMPARTMENT_VOLUME
from service.engine.geometry.geometry import GROSS, NET_VOLUME, TIMBER_PERCENT, LayerGeometry
from service.engine.ground.explanation import Explanation, Given, explained
from service.engine.plan.takeoff import CavityTakeoff
from service.engine.survey.cavity import Cavity, Framing, Layer


def explain_geometry(*, at: str, surveyed: Cavity, planned: CavityTakeoff) -> Iterator[Explanation]:
    """Explain the geometry and the compartments of the cavity at pointer `at`."""
    yield from _whole(f"{at}/geometry", surveyed, planned)
    for place, (layer, found) in enumerate(zip(surveyed.layers, planned.geometry.layers, strict=True)):
        yield from _layer(f"{at}/geometry/layers/{place}", surveyed, layer, found)
    for place, space in enumerate(planned.compartments):
        yield explained(
            f"{at}/compartments/{place}/net_volume_m3",
            space.net_volume_m3,
            COMPARTMENT_VOLUME,
            net_volume_m3=planned.geometry.net_volume_m3,
            count=surveyed.count,
        )


def _whole(at: str, surveyed: Cavity, planned: CavityTakeoff) -> Iterator[Explanation]:
    shape = planned.geometry
    plane = _plane(surveyed)
    depths: dict[str, Given] = {"depth_mm": [layer.depth_mm for layer in shape.layers]}
    layers = depths | {"net_area_m2": [layer.net_area_m2 for layer in shape.layers]}
    yield explained(f"{at}/depth_mm", shape.depth_mm, GROSS, **depths)
    yield explained(f"{at}/gross_area_m2", shape.gross_area_m2, GROSS, **plane)
    yield explained(
        f"{at}/gross_volume_m3",
        shape.gross_volume_m3,
        GROSS,
        gross_area_m2=shape.gross_area_m2,
        **depths,
    )
    yield explained(
        f"{at}/net_area_m2",
        shape.net_area_m2,
        INSULATED_AREA,
        openings_m2=openings_m2(cavity=surveyed),
        **plane,
    )
    yield explained(
        f"{at}/net_volume_m3",
        shape.net_volume_m3,
        NET_VOLUME,
        displaced_m3=surveyed.displaced_m3,
        count=surveyed.count,
        **layers,
    )
    yield explained(
        f"{at}/timber_percent",
        shape.timber_percent,
        TIMBER_PERCENT,
        insulated_area_m2=shape.net_area_m2,
        **layers,
    )


def _layer(at: str, surveyed: Cavity, layer: Layer, found: LayerGeometry) -> Iterator[Explanation]:
    plane, openings = _plane(surveyed), openings_m2(cavity=surveyed)
    framing = layer.framing
    yield explained(f"{at}/gross_area_m2", found.gross_area_m2, GROSS, **plane)
    if framing is None:
        yield explained(f"{at}/net_area_m2", found.net_area_m2, INSULATED_AREA, openings_m2=openings, **plane)
    elif framing.timber_fraction is not None:
        yield explained(
            f"{at}/net_area_m2",
            found.net_area_m2,
            FRACTION_AREA,
            openings_m2=openings,
            timber_fraction=framing.timber_fraction,
            trim_m2=trim_m2(cavity=surveyed),
            **plane,
        )
    else:
        yield from _framed(at, surveyed, framing, found)
    yield explained(
        f"{at}/timber_fraction",
        found.timber_fraction,
        TIMBER_PERCENT,
        net_area_m2=found.net_area_m2,
        insulated_area_m2=surveyed.count * (surveyed.width_m * surveyed.span_m - openings),
    )


def _framed(at: str, surveyed: Cavity, framing: Framing, found: LayerGeometry) -> Iterator[Explanation]:
    across_m, along_m = across_and_along_m(cavity=surveyed, framing=framing)
    member_mm, spacing_mm = framing.member_mm or 0.0, framing.spacing_mm or 0.0
    yield explained(
        f"{at}/members",
        found.members,
        MEMBERS,
        across_m=across_m,
        member_mm=member_mm,
        spacing_mm=spacing_mm,
    )
    yield explained(
        f"{at}/net_area_m2",
        found.net_area_m2,
        NET_AREA,
        count=surveyed.count,
        across_m=across_m,
        along_m=along_m,
        openings_m2=openings_m2(cavity=surveyed),
        trim_m2=trim_m2(cavity=surveyed),
        members=found.members,
        member_mm=member_mm,
        plates_mm=framing.plates_mm,
        blocking_rows=framing.blocking_rows,
        blocking_mm=framing.blocking_mm,
    )


def _plane(surveyed: Cavity) -> dict[str, Given]:
    return {"count": surveyed.count, "width_m": surveyed.width_m, "span_m": surveyed.span_m}
