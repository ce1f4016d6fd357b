"""The working behind a cavity's moisture indicator."""

from collections.abc import Iterator

from service.engine.ground.explanation import Explanation, explained
from service.engine.moisture.diffusion import DIFFUSION
from service.engine.moisture.moisture import MOISTURE, Moisture, ProfilePoint
from service.engine.moisture.mould import MOULD, Coldest, SurfaceCheck
from service.engine.moisture.vapour import DEW_POINT, SATURATION, curve
from service.engine.plan.takeoff import Worked


def explain_moisture(*, worked: Worked, found: tuple[Moisture, ...]) -> tuple[Explanation, ...]:
    """Explain the indicators of a takeoff's cavities: their water, flows of vapour and surfaces.

    They were found with the takeoff's own workings handed in.

    Temperatures in a profile rise in proportion to resistance, vapour pressures run
    straight between the places where vapour condenses; neither is explained apart.
    """
    each = zip(found, worked.workings, strict=True)
    return tuple(
        explanation
        for index, (moist, working) in enumerate(each)
        for explanation in _cavity(f"/moisture/{index}", moist, working.of(Coldest))
    )


def _cavity(at: str, found: Moisture, coldest: Coldest) -> Iterator[Explanation]:
    water = [month.water_kg_m2 for month in found.months]
    for place, (month, before) in enumerate(zip(found.months, (0.0, *water), strict=False)):
        yield explained(
            f"{at}/months/{place}/water_kg_m2",
            month.water_kg_m2,
            MOISTURE,
            before_kg_m2=before,
            condensed_kg_m2=month.condensed_kg_m2,
            evaporated_kg_m2=month.evaporated_kg_m2,
        )
    yield from _profile(at, found)
    yield from _surface(f"{at}/surface", found.surface, coldest)


def _profile(at: str, found: Moisture) -> Iterator[Explanation]:
    for place, point in enumerate(found.profile):
        a, b = curve(freezing=point.temperature_c < 0)
        yield explained(
            f"{at}/profile/{place}/saturation_pa",
            point.saturation_pa,
            SATURATION,
            temperature_c=point.temperature_c,
            a=a,
            b=b,
        )
    (outermost, second, *_), (*_, last, innermost) = found.profile, found.profile
    yield _flow(f"{at}/inflow_kg_m2_s", found.inflow_kg_m2_s, last, innermost)
    yield _flow(f"{at}/outflow_kg_m2_s", found.outflow_kg_m2_s, outermost, second)


def _flow(pointer: str, flow: float, outer: ProfilePoint, inner: ProfilePoint) -> Explanation:
    return explained(
        pointer,
        flow,
        DIFFUSION,
        inner_pa=inner.vapour_pa,
        outer_pa=outer.vapour_pa,
        inner_sd_m=inner.sd_m,
        outer_sd_m=outer.sd_m,
    )


def _surface(at: str, surface: SurfaceCheck, coldest: Coldest) -> Iterator[Explanation]:
    month, pressure = coldest.worst, coldest.pressure_pa
    yield explained(f"{at}/f_rsi", surface.f_rsi, MOULD, coldest_m2k_w=coldest.resistance_m2k_w)
    if month is None or pressure is None:
        return
    assert surface.surface_needed_c is not None
    assert surface.f_rsi_needed is not None
    a, b = curve(freezing=surface.surface_needed_c < 0)
    yield explained(
        f"{at}/surface_needed_c", surface.surface_needed_c, DEW_POINT, pressure_pa=pressure, a=a, b=b
    )
    yield explained(
        f"{at}/f_rsi_needed",
        surface.f_rsi_needed,
        MOULD,
        surface_needed_c=surface.surface_needed_c,
        inside_c=month.inside_c,
        outside_c=month.outside_c,
    )
