"""The working behind a cavity's thermal resistance and U-value."""

from collections.abc import Iterator
from itertools import chain

from service.engine.ground.explanation import Explanation, explained
from service.engine.ground.vocabulary import CourseKind
from service.engine.heat.buildup import Flank
from service.engine.heat.corrections import AIR_GAPS_W_M2K, CORRECTIONS
from service.engine.heat.courses import BRIDGED, GIVEN, LAYER, REST
from service.engine.heat.paths import LOWER_LIMIT, UPPER_LIMIT
from service.engine.heat.surfaces import SURFACES
from service.engine.heat.thermal import COMBINED, ERROR, FILL, LABEL, Stack, Thermal
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material


def explain_thermal(
    *, at: str, surveyed: Cavity, planned: CavityTakeoff, material: Material, met: Stack
) -> Iterator[Explanation]:
    """Explain the resistances and the U-value of the cavity at pointer `at`."""
    heat, at = planned.thermal, f"{at}/thermal"
    yield explained(f"{at}/rsi", heat.rsi, SURFACES)
    yield explained(f"{at}/rse", heat.rse, SURFACES)
    yield _fill(at, surveyed, heat, material)
    yield from _limits(at, heat, met)
    if heat.correction_w_m2k:
        yield _correction(at, surveyed, heat, met)
    if heat.u_value_w_m2k is not None and heat.r_total is not None:
        yield explained(
            f"{at}/u_value_w_m2k",
            heat.u_value_w_m2k,
            COMBINED,
            r_upper=heat.r_upper,
            r_lower=heat.r_lower,
            correction_w_m2k=heat.correction_w_m2k,
        )
        yield explained(f"{at}/r_total", heat.r_total, COMBINED, u_value_w_m2k=heat.u_value_w_m2k)
        yield from _courses(at, heat, met)


def _courses(at: str, heat: Thermal, met: Stack) -> Iterator[Explanation]:
    layers = chain(met.flanks.outside, met.flanks.inside)
    for place, course in enumerate(heat.courses):
        figure, value = f"{at}/courses/{place}/resistance_m2k_w", course.resistance_m2k_w
        if course.kind is CourseKind.LAYER:
            yield _layer(figure, value, next(layers))
        elif course.kind is CourseKind.FILL:
            limits = {"r_upper": heat.r_upper, "r_lower": heat.r_lower}
            others = [each.resistance_m2k_w for each in heat.courses if each is not course]
            yield explained(figure, value, REST, **limits, others_m2k_w=others)
        else:
            yield explained(figure, value, SURFACES)


def _layer(figure: str, value: float, each: Flank) -> Explanation:
    layer = each.layer
    if each.battens is not None:
        return explained(
            figure,
            value,
            BRIDGED,
            timber_fraction=layer.timber_fraction or 0.0,
            timber_m2k_w=each.battens,
            between_m2k_w=each.between,
        )
    if layer.conductivity_w_mk is None:
        return explained(figure, value, GIVEN, given_m2k_w=value)
    thickness = {"thickness_mm": layer.thickness_mm or 0.0, "conductivity_w_mk": layer.conductivity_w_mk}
    return explained(figure, value, LAYER, **thickness)


def _fill(at: str, surveyed: Cavity, heat: Thermal, material: Material) -> Explanation:
    if heat.label_r is not None:
        return explained(f"{at}/r_fill", heat.r_fill, LABEL, label_r=heat.label_r)
    return explained(
        f"{at}/r_fill",
        heat.r_fill,
        FILL,
        depth_mm=surveyed.depth_mm,
        conductivity_w_mk=material.conductivity_w_mk,
    )


def _limits(at: str, heat: Thermal, met: Stack) -> Iterator[Explanation]:
    leaves = (*met.leaves, *met.bridged)
    yield explained(
        f"{at}/r_upper",
        heat.r_upper,
        UPPER_LIMIT,
        area=[path.area for path in met.paths],
        resistance_m2k_w=[path.resistance for path in met.paths],
        others_m2k_w=met.others,
    )
    yield explained(
        f"{at}/r_lower",
        heat.r_lower,
        LOWER_LIMIT,
        others_m2k_w=met.others,
        timber_fraction=[leaf.timber_fraction for leaf in leaves],
        timber_m2k_w=[leaf.timber for leaf in leaves],
        fill_m2k_w=[leaf.fill for leaf in leaves],
    )
    limits = {"r_upper": heat.r_upper, "r_lower": heat.r_lower}
    yield explained(f"{at}/ratio", heat.ratio, ERROR, **limits)
    if heat.error_percent is not None:
        yield explained(f"{at}/error_percent", heat.error_percent, ERROR, **limits)


def _correction(at: str, surveyed: Cavity, heat: Thermal, met: Stack) -> Explanation:
    metal = surveyed.fasteners
    return explained(
        f"{at}/correction_w_m2k",
        heat.correction_w_m2k,
        CORRECTIONS,
        air_gap_w_m2k=AIR_GAPS_W_M2K[surveyed.air_gap_level],
        conductivity_w_mk=metal.conductivity_w_mk if metal else 0.0,
        area_mm2=metal.area_mm2 if metal else 0.0,
        per_m2=metal.per_m2 if metal else 0.0,
        depth_mm=surveyed.depth_mm,
        r_fill=met.r_fill,
        others_m2k_w=met.beside,
    )
