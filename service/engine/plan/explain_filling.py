"""The working behind a cavity's density, kilograms, hours and samples."""

from collections.abc import Iterator
from dataclasses import replace

from service.engine.ground.explanation import Explanation, Given, explained
from service.engine.ground.working import Working
from service.engine.plan.bounds import Bound
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.density import DENSITY_TARGET, DENSITY_WINDOW, Window
from service.engine.plan.guard import FIRST_CHECK, GUARD_BAND, Checked
from service.engine.plan.hours import CAVITY_HOURS
from service.engine.plan.openblow import LABEL_CHART, MARKERS, OPEN_BLOW, OpenBlow
from service.engine.plan.options import STRIP, Task, rates_of
from service.engine.plan.proof import PROOF, Sampled
from service.engine.plan.quantities import DENSE_MASS, Bulging
from service.engine.plan.sampling import SAMPLING_PLAN
from service.engine.plan.under_edge import member_m
from service.engine.survey.practice import ChartRow, Practice


def explain_filling(
    *,
    at: str,
    planned: CavityTakeoff,
    practice: Practice,
    working: Working,
) -> Iterator[Explanation]:
    """Explain what goes into the cavity at pointer `at`, and how long it takes."""
    if planned.density:
        yield from _window(f"{at}/density", planned.density)
        yield _dense_mass(at, planned, planned.density, working.of(Bulging))
        yield from _samples(at, planned, practice, working.of(Sampled))
        yield from _margin(at, planned, planned.density)
        yield from _loads(at, planned, planned.density)
    if planned.open_blow:
        yield from _open_blow(at, planned, planned.open_blow, practice, working)
    yield from _hours(f"{at}/fill_plan", planned, practice, working.of(Task))


def _window(at: str, window: Window) -> Iterator[Explanation]:
    considered = [bound.value for bound in window.considered if bound.binds]
    limits = (window.lowest_kg_m3.value, window.highest_kg_m3.value)
    for name, limit in zip(("lowest_kg_m3", "highest_kg_m3"), limits, strict=True):
        yield explained(f"{at}/{name}/value", limit, DENSITY_WINDOW, considered_kg_m3=considered)
    yield _target(f"{at}/target_kg_m3/value", window.target_kg_m3, limits)


def _target(pointer: str, target: Bound, limits: tuple[float, float]) -> Explanation:
    """A target brings its own rule and source with it."""
    plain = explained(pointer, target.value, DENSITY_TARGET, limit_kg_m3=limits)
    return replace(plain, provenance=target.provenance)


def _dense_mass(at: str, planned: CavityTakeoff, window: Window, bulging: Bulging) -> Explanation:
    return explained(
        f"{at}/mass_kg",
        planned.mass_kg,
        DENSE_MASS,
        target_kg_m3=window.target_kg_m3.value,
        net_volume_m3=planned.geometry.net_volume_m3,
        bulge_volume_m3=bulging.volume_m3,
    )


def _margin(at: str, planned: CavityTakeoff, window: Window) -> Iterator[Explanation]:
    if proof := planned.fill_plan.proof:
        yield explained(
            f"{at}/fill_plan/proof/margin_kg_m3",
            proof.margin_kg_m3,
            PROOF,
            target_kg_m3=window.target_kg_m3.value,
            lowest_kg_m3=window.lowest_kg_m3.value,
            highest_kg_m3=window.highest_kg_m3.value,
        )


def _samples(at: str, planned: CavityTakeoff, practice: Practice, sampled: Sampled) -> Iterator[Explanation]:
    proof = planned.fill_plan.proof
    if not proof or not proof.samples:
        return
    for pointer, samples, count in (
        (f"{at}/samples", planned.samples, planned.count),
        (f"{at}/fill_plan/proof/samples", proof.samples, 1),
    ):
        yield explained(
            pointer,
            samples,
            SAMPLING_PLAN,
            count=count,
            bays=[len(bays) for bays in sampled.groups],
            at_least=practice.sampling.at_least,
            one_in_bays=practice.sampling.one_in_bays,
        )


def _loads(at: str, planned: CavityTakeoff, window: Window) -> Iterator[Explanation]:
    for place, load in enumerate(planned.loads):
        yield explained(
            f"{at}/loads/{place}/mass_kg",
            load.mass_kg,
            DENSE_MASS,
            target_kg_m3=window.target_kg_m3.value,
            net_volume_m3=load.net_volume_m3,
            bulge_volume_m3=load.bulge_volume_m3,
        )


def _open_blow(
    at: str,
    planned: CavityTakeoff,
    blow: OpenBlow,
    practice: Practice,
    working: Working,
) -> Iterator[Explanation]:
    settled: dict[str, Given] = {
        "settled_mm": blow.settled_mm,
        "settled_kg_m3": blow.settled_kg_m3,
        "settlement_percent": blow.settlement_percent,
        "net_volume_m3": planned.geometry.net_volume_m3,
    }
    formula = OPEN_BLOW
    if blow.label_r is not None:
        row = working.of(ChartRow)
        formula = LABEL_CHART
        settled["lowest_kg_m2"], settled["chart_mm"] = row.lowest_kg_m2, row.initial_mm
        settled["bags_per_100_m2"] = row.bags_per_100_m2
    blown = settled | {name: getattr(blow, name) for name in ("initial_mm", "mass_per_area_kg_m2", "area_m2")}
    blown |= {name: getattr(blow.guard, name) for name in ("planned_initial_mm", "planned_kg_m2")}
    for name in ("initial_mm", "mass_per_area_kg_m2", "area_m2"):
        yield explained(f"{at}/open_blow/{name}", getattr(blow, name), formula, **settled)
    for name in ("initial_kg_m3", "mass_kg", *(("bags_by_chart",) if blow.label_r is not None else ())):
        yield explained(f"{at}/open_blow/{name}", getattr(blow, name), formula, **blown)
    yield explained(f"{at}/mass_kg", planned.mass_kg, formula, **blown)
    yield from _guard(f"{at}/open_blow/guard", blow, practice, working.of(Checked))
    yield explained(
        f"{at}/open_blow/markers",
        blow.markers,
        MARKERS,
        count=planned.count,
        net_area_m2=planned.geometry.net_area_m2,
        marker_area_m2=practice.marker_area_m2,
    )


def _guard(at: str, blow: OpenBlow, practice: Practice, checked: Checked) -> Iterator[Explanation]:
    band, least = blow.guard, blow.mass_per_area_kg_m2
    inputs: dict[str, Given] = {
        "guard_factor": band.guard_factor,
        "initial_mm": blow.initial_mm,
        "mass_per_area_kg_m2": least,
        "area_m2": checked.area_m2,
        "ruler_half_mm": practice.uncertainties.reading.ruler_half_mm,
        "evenness_u_mm": practice.uncertainties.reading.evenness_u_mm,
        "at_least_depths": practice.sampling.at_least_depths,
        "widening": checked.widening,
        "emptied_u_kg": checked.emptied_u_kg,
        "area_rel_u": checked.area_rel_u,
    }
    both: dict[str, Given] = {"u_mm": band.u_mm, "u_kg_m2": band.u_kg_m2}
    yield explained(f"{at}/u_mm", band.u_mm, GUARD_BAND, **inputs)
    yield explained(f"{at}/u_kg_m2", band.u_kg_m2, GUARD_BAND, **inputs, planned_kg_m2=band.planned_kg_m2)
    yield explained(f"{at}/planned_initial_mm", band.planned_initial_mm, GUARD_BAND, **inputs, **both)
    yield explained(f"{at}/planned_kg_m2", band.planned_kg_m2, GUARD_BAND, **inputs, **both)
    planned: dict[str, Given] = {
        "initial_mm": blow.initial_mm,
        "mass_per_area_kg_m2": least,
        "planned_initial_mm": band.planned_initial_mm,
        "planned_kg_m2": band.planned_kg_m2,
        "z": checked.z,
    }
    yield explained(f"{at}/chance", band.chance, FIRST_CHECK, **planned, **both)


def _hours(at: str, planned: CavityTakeoff, practice: Practice, task: Task) -> Iterator[Explanation]:
    plan, rates = planned.fill_plan, practice.rates
    method = rates_of(practice=practice, method=plan.method)
    bays: dict[str, Given] = {"count": planned.count, "bays": task.bays}
    yield explained(
        f"{at}/strip_m",
        plan.strip_m,
        STRIP,
        member_m=member_m(sized=task.parts, cavity=task.upright),
        strip_per_m=method.strip_per_m,
        **bays,
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
        **bays,
    )
