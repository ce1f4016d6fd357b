"""The working behind a takeoff: for every figure its formula, its inputs and its source.

The formulas are the constants beside the functions that work the figures out, and
the bounds of a density window carry their own; nothing is stated here a second time.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from service.engine.areas import NET_AREA, openings_m2
from service.engine.bays import MEMBERS
from service.engine.cavity import Cavity
from service.engine.compartments import COMPARTMENT_VOLUME, parts
from service.engine.density import Bound
from service.engine.formula import Formula
from service.engine.geometry import NET_VOLUME, TIMBER_PERCENT
from service.engine.holes import HOLES, PATCH, TAPE
from service.engine.hours import CAVITY_HOURS, JOB_HOURS
from service.engine.openblow import LABEL_CHART, MARKERS, OPEN_BLOW
from service.engine.practice import Material, Practice
from service.engine.pricing import PRICE
from service.engine.quantities import BAGS, DENSE_MASS, expected_bulge_m3
from service.engine.samples import SAMPLING_PLAN
from service.engine.takeoff import CavityTakeoff, Takeoff
from service.engine.thermal import COMBINED, ERROR
from service.engine.vocabulary import Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """A figure that went into another one; the unit is in its name."""

    name: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """How the figure at `pointer` (RFC 6901, into the takeoff) came about."""

    pointer: str
    value: float
    formula: str
    name: str
    expression: str
    inputs: tuple[Input, ...]
    source: str
    standing: Standing


def explain(
    *, cavities: tuple[Cavity, ...], found: Takeoff, material: Material, practice: Practice
) -> tuple[Explanation, ...]:
    """Explain every figure of a takeoff, cavity by cavity and then the whole.

    `cavities` are the surveyed ones in the takeoff's order; `material` and
    `practice` those that it was worked out with.
    """
    each = (
        explanation
        for index, (surveyed, planned) in enumerate(zip(cavities, found.cavities, strict=True))
        for explanation in _cavity(f"/cavities/{index}", surveyed, planned, practice)
    )
    return (*each, *_whole(found, material, practice))


def _said(pointer: str, value: float, formula: Formula, **inputs: float) -> Explanation:
    return Explanation(
        pointer=pointer,
        value=value,
        formula=formula.code,
        name=formula.name,
        expression=formula.expression,
        inputs=tuple(Input(name=name, value=float(given)) for name, given in inputs.items()),
        source=formula.source,
        standing=formula.standing,
    )


def _cavity(
    pointer: str, surveyed: Cavity, planned: CavityTakeoff, practice: Practice
) -> Iterator[Explanation]:
    yield from _shape(pointer, surveyed, planned)
    yield from _density(pointer, surveyed, planned, practice)
    yield from _open(pointer, planned, practice)
    yield from _plan(pointer, planned, practice)
    yield from _heat(pointer, planned)


def _shape(pointer: str, surveyed: Cavity, planned: CavityTakeoff) -> Iterator[Explanation]:
    shape = planned.geometry
    yield _said(
        f"{pointer}/geometry/net_volume_m3",
        shape.net_volume_m3,
        NET_VOLUME,
        displaced_m3=surveyed.displaced_m3,
        count=surveyed.count,
        **{f"layer_{n}_net_area_m2": layer.net_area_m2 for n, layer in enumerate(shape.layers)},
        **{f"layer_{n}_depth_mm": layer.depth_mm for n, layer in enumerate(shape.layers)},
    )
    yield _said(
        f"{pointer}/geometry/timber_percent",
        shape.timber_percent,
        TIMBER_PERCENT,
        net_volume_m3=shape.net_volume_m3,
        gross_volume_m3=shape.gross_volume_m3,
    )
    for place, (layer, found) in enumerate(zip(surveyed.layers, shape.layers, strict=True)):
        at = f"{pointer}/geometry/layers/{place}"
        sizes = {"width_m": surveyed.width_m, "span_m": surveyed.span_m}
        framing = layer.framing
        if framing and framing.member_mm and framing.spacing_mm:
            yield _said(
                f"{at}/members",
                found.members,
                MEMBERS,
                member_mm=framing.member_mm,
                spacing_mm=framing.spacing_mm,
                **sizes,
            )
            sizes |= {"members": found.members, "plates_mm": framing.plates_mm}
            sizes |= {"blocking_rows": framing.blocking_rows, "blocking_mm": framing.blocking_mm}
        openings = openings_m2(cavity=surveyed)
        yield _said(f"{at}/net_area_m2", found.net_area_m2, NET_AREA, openings_m2=openings, **sizes)
    for place, space in enumerate(planned.compartments):
        yield _said(
            f"{pointer}/compartments/{place}/net_volume_m3",
            space.net_volume_m3,
            COMPARTMENT_VOLUME,
            net_volume_m3=shape.net_volume_m3,
            count=surveyed.count,
        )


def _density(
    pointer: str, surveyed: Cavity, planned: CavityTakeoff, practice: Practice
) -> Iterator[Explanation]:
    window = planned.density
    if window is None:
        return
    for name in ("lowest_kg_m3", "target_kg_m3", "highest_kg_m3"):
        yield _bound(f"{pointer}/density/{name}/value", getattr(window, name))
    yield _said(
        f"{pointer}/mass_kg",
        planned.mass_kg,
        DENSE_MASS,
        target_kg_m3=window.target_kg_m3.value,
        net_volume_m3=planned.geometry.net_volume_m3,
        bulge_volume_m3=expected_bulge_m3(cavity=surveyed, parts=parts(cavity=surveyed), practice=practice),
    )


def _bound(pointer: str, bound: Bound) -> Explanation:
    return Explanation(
        pointer=pointer,
        value=bound.value,
        formula="bound",
        name=bound.rule,
        expression="the strictest of the rules that bind",
        inputs=(),
        source=bound.source,
        standing=bound.standing,
    )


def _open(pointer: str, planned: CavityTakeoff, practice: Practice) -> Iterator[Explanation]:
    blow = planned.open_blow
    if blow is None:
        return
    formula = OPEN_BLOW if blow.label_r is None else LABEL_CHART
    given = {"settled_mm": blow.settled_mm, "settlement_percent": blow.settlement_percent}
    at = f"{pointer}/open_blow"
    yield _said(f"{at}/initial_mm", blow.initial_mm, formula, **given)
    yield _said(
        f"{at}/mass_per_area_kg_m2",
        blow.mass_per_area_kg_m2,
        formula,
        settled_kg_m3=blow.settled_kg_m3,
        **given,
    )
    yield _said(
        f"{pointer}/mass_kg",
        planned.mass_kg,
        formula,
        mass_per_area_kg_m2=blow.mass_per_area_kg_m2,
        area_m2=blow.area_m2,
    )
    yield _said(
        f"{at}/markers",
        blow.markers,
        MARKERS,
        net_area_m2=planned.geometry.net_area_m2,
        marker_area_m2=practice.marker_area_m2,
    )


def _plan(pointer: str, planned: CavityTakeoff, practice: Practice) -> Iterator[Explanation]:
    plan, rates = planned.fill_plan, practice.rates
    at = f"{pointer}/fill_plan"
    if plan.hole_list:
        yield _said(f"{at}/holes", plan.holes, HOLES, bays=planned.geometry.bays, count=planned.count)
        past = practice.patching.past_hole_mm
        yield _said(f"{at}/patch_width_mm", plan.patch_width_mm, PATCH, past_hole_mm=past)
        yield _said(
            f"{at}/tape_m",
            plan.tape_m,
            TAPE,
            patches=plan.patches,
            patch_width_mm=plan.patch_width_mm,
            patch_height_mm=plan.patch_height_mm,
            roll_mm=practice.patching.roll_mm,
        )
    method = next(each for each in rates.methods if each.method is plan.method)
    yield _said(
        f"{at}/hours",
        plan.hours,
        CAVITY_HOURS,
        mass_kg=planned.mass_kg,
        kg_h=method.kg_h,
        holes=plan.holes,
        hole_h=rates.hole_h,
        patches=plan.patches,
        patch_h=rates.patch_h,
        bays=planned.geometry.bays,
        per_bay_h=method.per_bay_h,
        move_h=rates.move_h,
        count=planned.count,
    )
    yield _said(
        f"{pointer}/samples",
        planned.samples,
        SAMPLING_PLAN,
        bays=planned.geometry.bays,
        one_in_bays=practice.sampling.one_in_bays,
        at_least=practice.sampling.at_least,
    )


def _heat(pointer: str, planned: CavityTakeoff) -> Iterator[Explanation]:
    heat = planned.thermal
    if heat.u_value_w_m2k is None or heat.error_percent is None:
        return
    limits = {"r_upper": heat.r_upper, "r_lower": heat.r_lower}
    yield _said(
        f"{pointer}/thermal/u_value_w_m2k",
        heat.u_value_w_m2k,
        COMBINED,
        correction_w_m2k=heat.correction_w_m2k,
        **limits,
    )
    yield _said(f"{pointer}/thermal/error_percent", heat.error_percent, ERROR, **limits)


def _whole(found: Takeoff, material: Material, practice: Practice) -> Iterator[Explanation]:
    yield _said(
        "/bags",
        found.bags,
        BAGS,
        mass_kg=found.mass_kg,
        bag_kg=material.bag_kg,
        waste_percent=practice.waste_percent,
    )
    yield _said(
        "/crew_hours",
        found.crew_hours,
        JOB_HOURS,
        set_up_h=practice.rates.set_up_h,
        cavities_h=sum(each.fill_plan.hours for each in found.cavities),
        samples=found.samples,
        sample_h=practice.rates.sample_h,
        cleaning_h=practice.rates.cleaning_h,
    )
    amounts = {f"line_{line.code}": float(line.amount) for line in found.price.lines}
    yield _said("/price/net", float(found.price.net), PRICE, **amounts)
    tax = {"net": float(found.price.net), "tax_percent": float(found.price.tax_percent)}
    yield _said("/price/tax", float(found.price.tax), PRICE, **tax)
    yield _said("/price/total", float(found.price.total), PRICE, **tax)
