"""The working behind a cavity's areas, volumes and compartments."""

from collections.abc import Iterator

from service.engine.geometry.areas import (
    CLEAR_AREA,
    FRACTION_AREA,
    INSULATED_AREA,
    OPEN_AREA,
)
from service.engine.geometry.bays import MEMBERS
from service.engine.geometry.compartments import COMPARTMENT_VOLUME
from service.engine.geometry.geometry import GROSS, NET_VOLUME, TIMBER_PERCENT, LayerGeometry
from service.engine.geometry.plane import Plane
from service.engine.ground.explanation import Explanation, Given, explained
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.survey.cavity import Cavity


def explain_geometry(
    *, at: str, surveyed: Cavity, planned: CavityTakeoff, laid_out: Plane
) -> Iterator[Explanation]:
    """Explain the geometry and the compartments of the cavity at pointer `at`."""
    yield from _whole(f"{at}/geometry", surveyed, planned, laid_out)
    for place, found in enumerate(planned.geometry.layers):
        whole_m2 = planned.geometry.net_area_m2
        yield from _layer(f"{at}/geometry/layers/{place}", laid_out, place, found, whole_m2)
    for place, space in enumerate(planned.compartments):
        yield explained(
            f"{at}/compartments/{place}/net_volume_m3",
            space.net_volume_m3,
            COMPARTMENT_VOLUME,
            depth_mm=[layer.depth_mm for layer in planned.geometry.layers],
            displaced_m3=[each.volume_m3 for each in surveyed.displaced],
        )


def _whole(at: str, surveyed: Cavity, planned: CavityTakeoff, laid_out: Plane) -> Iterator[Explanation]:
    shape, face = planned.geometry, _face(laid_out)
    depths: dict[str, Given] = {"depth_mm": [layer.depth_mm for layer in shape.layers]}
    layers = depths | {"net_area_m2": [layer.net_area_m2 for layer in shape.layers]}
    yield explained(f"{at}/depth_mm", shape.depth_mm, GROSS, **depths)
    yield explained(f"{at}/gross_area_m2", shape.gross_area_m2, GROSS, **face)
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
        openings_m2=surveyed.openings_m2,
        **face,
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


def _layer(
    at: str, laid_out: Plane, place: int, found: LayerGeometry, whole_m2: float
) -> Iterator[Explanation]:
    layer, face = laid_out.cavity.layers[place], _face(laid_out)
    yield explained(f"{at}/gross_area_m2", found.gross_area_m2, GROSS, **face)
    yield _net_area(f"{at}/net_area_m2", laid_out, place, found)
    if layer.framing and layer.framing.spacing_mm is not None and not layer.framing.is_counted:
        yield explained(
            f"{at}/members",
            found.members,
            MEMBERS,
            across_m=laid_out.lengths[place].set_out_m,
            member_mm=layer.framing.member_mm or 0.0,
            spacing_mm=layer.framing.spacing_mm,
        )
    yield explained(
        f"{at}/timber_fraction",
        found.timber_fraction,
        TIMBER_PERCENT,
        net_area_m2=found.net_area_m2,
        insulated_area_m2=whole_m2,
    )


def _net_area(at: str, laid_out: Plane, place: int, found: LayerGeometry) -> Explanation:
    surveyed, area, clear_m2 = laid_out.cavity, laid_out.areas[place], laid_out.clear_m2[place]
    framing = surveyed.layers[place].framing
    if framing is None:
        return explained(
            at,
            found.net_area_m2,
            OPEN_AREA,
            count=surveyed.count,
            clear_m2=clear_m2,
            unplaced_m2=area.unplaced_m2,
        )
    if framing.timber_fraction is not None:
        return explained(
            at,
            found.net_area_m2,
            FRACTION_AREA,
            openings_m2=surveyed.openings_m2,
            timber_fraction=framing.timber_fraction,
            trim_m2=area.trim_m2,
            **_face(laid_out),
        )
    return explained(
        at,
        found.net_area_m2,
        CLEAR_AREA,
        count=surveyed.count,
        clear_m2=clear_m2,
        unplaced_m2=area.unplaced_m2,
        between_plates_m2=area.between_plates_m2 or laid_out.insulated_m2,
    )


def _face(laid_out: Plane) -> dict[str, Given]:
    return {"count": laid_out.cavity.count, "face_m2": laid_out.face_m2}
