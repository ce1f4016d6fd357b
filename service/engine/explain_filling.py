"""The working behind a cavity's density, kilograms, holes, hours and samples."""

from collections import Counter
from collections.abc import Iterator

from service.engine.cavity import Cavity
from service.engine.compartments import parts
from service.engine.density import DENSITY_TARGET, DENSITY_WINDOW, Bound, Window
from service.engine.explanation import Explanation, Given, Input, explained
from service.engine.filling import with_room
from service.engine.formula import Formula
from service.engine.holes import HOLES, PATCH, TAPE
from service.engine.hours import CAVITY_HOURS
from service.engine.layout import upright
from service.engine.openblow import LABEL_CHART, MARKERS, OPEN_BLOW, OpenBlow
from service.engine.options import STRIP, hole_size, rates_of
from service.engine.practice import Material, Practice
from service.engine.quantities import DENSE_MASS, expected_bulge_m3
from service.engine.samples import SAMPLING_PLAN
from service.engine.takeoff import CavityTakeoff


def explain_filling(
    *, at: str, surveyed: Cavity, planned: CavityTakeoff, material: Material, practice: Practice
) -> Iterator[Explanation]:
    """Explain what goes into the cavity at pointer `at`, and how."""
    if planned.density:
        yield from _window(f"{at}/density", planned.density)
        yield _dense_mass(at, surveyed, planned, planned.density, practice)
        yield from _samples(at, planned, practice)
    if planned.open_blow:
        yield from _open_blow(at, planned, planned.open_blow, material, practice)
    yield from _holes(f"{at}/fill_plan", surveyed, planned, practice)
    yield from _hours(f"{at}/fill_plan", surveyed, planned, practice)


def _window(at: str, window: Window) -> Iterator[Explanation]:
    considered = [bound.value for bound in window.considered if bound.binds]
    limits = [window.lowest_kg_m3.value, window.highest_kg_m3.value]
    yield _bound(f"{at}/lowest_kg_m3/value", window.lowest_kg_m3, DENSITY_WINDOW, considered)
    yield _bound(f"{at}/target_kg_m3/value", window.target_kg_m3, DENSITY_TARGET, limits)
    yield _bound(f"{at}/highest_kg_m3/value", window.highest_kg_m3, DENSITY_WINDOW, considered)


def _bound(pointer: str, bound: Bound, formula: Formula, considered: list[float]) -> Explanation:
    """A bound brings its own rule and source with it."""
    return Explanation(
        pointer=pointer,
        value=bound.value,
        formula=formula.code,
        name=bound.rule,
        expression=formula.expression,
        inputs=tuple(Input(name="considered_kg_m3", value=value) for value in considered),
        source=bound.source,
        standing=bound.standing,
    )


def _dense_mass(
    at: str, surveyed: Cavity, planned: CavityTakeoff, window: Window, practice: Practice
) -> Explanation:
    return explained(
        f"{at}/mass_kg",
        planned.mass_kg,
        DENSE_MASS,
        target_kg_m3=window.target_kg_m3.value,
        net_volume_m3=planned.geometry.net_volume_m3,
        bulge_volume_m3=expected_bulge_m3(cavity=surveyed, parts=parts(cavity=surveyed), practice=practice),
    )


def _samples(at: str, planned: CavityTakeoff, practice: Practice) -> Iterator[Explanation]:
    shared = [len(space.bays) for space in planned.compartments if space.shared]
    if shared:
        yield explained(
            f"{at}/samples",
            planned.samples,
            SAMPLING_PLAN,
            count=planned.count,
            bays=shared,
            at_least=practice.sampling.at_least,
            one_in_bays=practice.sampling.one_in_bays,
        )


def _open_blow(
    at: str, planned: CavityTakeoff, blow: OpenBlow, material: Material, practice: Practice
) -> Iterator[Explanation]:
    settled: dict[str, Given] = {
        "settled_mm": blow.settled_mm,
        "settled_kg_m3": blow.settled_kg_m3,
        "settlement_percent": blow.settlement_percent,
        "net_volume_m3": planned.geometry.net_volume_m3,
    }
    formula = OPEN_BLOW
    row = next((row for row in material.chart if row.label_r == blow.label_r), None)
    if row:
        formula = LABEL_CHART
        settled["lowest_kg_m2"], settled["chart_mm"] = row.lowest_kg_m2, row.initial_mm
        settled["bags_per_100_m2"] = row.bags_per_100_m2
    blown = settled | {name: getattr(blow, name) for name in ("initial_mm", "mass_per_area_kg_m2", "area_m2")}
    for name in ("initial_mm", "mass_per_area_kg_m2", "area_m2"):
        yield explained(f"{at}/open_blow/{name}", getattr(blow, name), formula, **settled)
    for name in ("initial_kg_m3", "mass_kg", *(("bags_by_chart",) if row else ())):
        yield explained(f"{at}/open_blow/{name}", getattr(blow, name), formula, **blown)
    yield explained(f"{at}/mass_kg", planned.mass_kg, formula, **blown)
    yield explained(
        f"{at}/open_blow/markers",
        blow.markers,
        MARKERS,
        net_area_m2=planned.geometry.net_area_m2,
        marker_area_m2=practice.marker_area_m2,
    )


def _holes(at: str, surveyed: Cavity, planned: CavityTakeoff, practice: Practice) -> Iterator[Explanation]:
    plan, patching = planned.fill_plan, practice.patching
    if not plan.hole_list:
        return
    of_part = Counter((hole.bay, hole.part) for hole in plan.hole_list)
    yield explained(
        f"{at}/holes", plan.holes, HOLES, count=planned.count, holes_of_part=list(of_part.values())
    )
    yield explained(f"{at}/patches", plan.patches, HOLES, holes=plan.holes)
    rates = rates_of(practice=practice, method=plan.method)
    hole = hole_size(cavity=surveyed, rates=rates, slit_mm=practice.lance_use.slit_mm)
    for name, patch_mm, hole_mm in (
        ("patch_width_mm", plan.patch_width_mm, hole.width_mm),
        ("patch_height_mm", plan.patch_height_mm, hole.height_mm),
    ):
        past_mm = patching.past_hole_mm
        yield explained(f"{at}/{name}", patch_mm, PATCH, hole_mm=hole_mm, past_hole_mm=past_mm)
    yield explained(
        f"{at}/tape_m",
        plan.tape_m,
        TAPE,
        patches=plan.patches,
        patch_width_mm=plan.patch_width_mm,
        patch_height_mm=plan.patch_height_mm,
        roll_mm=patching.roll_mm,
        lap_mm=patching.lap_mm,
    )


def _hours(at: str, surveyed: Cavity, planned: CavityTakeoff, practice: Practice) -> Iterator[Explanation]:
    plan, rates = planned.fill_plan, practice.rates
    roomy = with_room(parts=parts(cavity=surveyed), narrowest_mm=rates.narrowest_mm)
    method = rates_of(practice=practice, method=plan.method)
    task: dict[str, Given] = {"count": planned.count, "bays": len({part.bay for part, _ in roomy})}
    yield explained(
        f"{at}/strip_m",
        plan.strip_m,
        STRIP,
        span_m=upright(cavity=surveyed).span_m,
        strip_per_m=method.strip_per_m,
        **task,
    )
    yield explained(
        f"{at}/hours",
        plan.hours,
        CAVITY_HOURS,
        mass_kg=planned.mass_kg,
        kg_h=method.kg_h,
        holes=plan.holes,
        hole_h=rates.hole_h,
        patches=plan.patches,
        patch_h=rates.patch_h,
        per_bay_h=method.per_bay_h,
        move_h=rates.move_h,
        **task,
    )
