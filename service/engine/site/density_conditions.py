"""Conditions of a dense fill's density, with what would clear each."""

from collections.abc import Iterator

from service.engine.ground.vocabulary import ConditionCode, FoundBy, Verdict
from service.engine.plan.density import Window, highest_loading
from service.engine.site.condition import Condition
from service.engine.site.conditions import NOT_SHOWN
from service.engine.site.conformity import Achieved
from service.engine.site.dense import CompartmentFinding
from service.engine.site.findings import CavityFinding
from service.engine.site.planned import Planned
from service.engine.site.samples import BayFinding
from service.engine.survey.practice import Decision, Material, Practice

MORE_EXACTLY = {
    "bag count": "weigh what is blown instead of counting bags",
    "bag mass": "weigh more bags",
    "bag spread": "weigh what is blown instead of counting bags",
    "scale": "use a more exact scale",
    "bulge": "measure the bulge and record it with a fill",
    "between bays": "sample more bays",
}


def density_conditions(
    *, planned: Planned, window: Window, finding: CompartmentFinding, practice: Practice
) -> Iterator[Condition]:
    """Everything that is not shown of a compartment's density."""
    yield from _of_contradiction(finding)
    yield from _of_whole(window, finding, practice.decision)
    yield from _of_bays(planned, window, finding, practice.decision)
    yield from _of_plan(finding, practice)


def loading_conditions(
    *, planned: Planned, finding: CavityFinding, material: Material
) -> Iterator[Condition]:
    """Densities as found above the highest loading that the maker permits at this depth."""
    depth_mm = planned.open_blow.initial_mm if planned.open_blow else planned.cavity.depth_mm
    limit = highest_loading(depth_mm=depth_mm, material=material)
    for label, density_kg_m3 in _densities(planned, finding):
        if limit and density_kg_m3 > limit.value:
            yield Condition(
                code=ConditionCode.LOADING_EXCEEDED,
                cavity=finding.label,
                subject=label,
                detail=f"{label}: {density_kg_m3:.1f} kg/m3 is above the highest loading of "
                f"{limit.value:g} kg/m3 ({limit.provenance.rule}; {limit.provenance.source}).",
                remedy="Take material out until the density is below it, and record what was taken out.",
            )


def _densities(planned: Planned, finding: CavityFinding) -> Iterator[tuple[str, float]]:
    for space in finding.compartments:
        if found := space.achieved or space.mass_balance:
            yield space.label, found.density_kg_m3
    if planned.open_blow and finding.open_blow and (found_mass := finding.open_blow.mass_per_area):
        yield finding.label, found_mass.mass_per_area_kg_m2 / (planned.open_blow.settled_mm / 1000)


def _of_contradiction(finding: CompartmentFinding) -> Iterator[Condition]:
    balance, samples = finding.mass_balance, finding.by_samples
    if finding.achieved or not balance or not samples:
        return
    yield Condition(
        code=ConditionCode.DENSITY_CONTRADICTION,
        cavity=finding.cavity,
        subject=finding.label,
        detail=f"{finding.label}: the mass balance gives {_said(balance)}, the samples {_said(samples)}; "
        f"their normalised error is {finding.normalised_error:.2f}, above 1.",
        remedy="Look for a fill recorded twice or not at all, a wrong size, a wrong sample, and correct it.",
    )


def _of_whole(window: Window, finding: CompartmentFinding, decision: Decision) -> Iterator[Condition]:
    """The compartment as a whole; where two results contradict each other, only what both refuse."""
    found = finding.achieved
    results = [each for each in (finding.mass_balance, finding.by_samples) if each]
    if not found and results and all(each.verdict is Verdict.NON_CONFORMING for each in results):
        found = results[0]
    if not found or found.verdict is Verdict.CONFORMING:
        return
    volume_m3 = finding.net_volume_m3 + finding.bulge_volume_m3
    shift_kg = (window.target_kg_m3.value - found.density_kg_m3) * volume_m3
    move = f"blow in about {shift_kg:.1f} kg more" if shift_kg > 0 else f"take out about {-shift_kg:.1f} kg"
    yield Condition(
        code=NOT_SHOWN[found.verdict],
        cavity=finding.cavity,
        subject=finding.label,
        detail=f"{finding.label}: {_said(found)} {_within(window, found, decision)}",
        remedy=_remedy(window, found, decision, move),
    )


def _remedy(window: Window, found: Achieved, decision: Decision, move: str) -> str:
    # A fill of nothing has no uncertainty, and no part of it that is the largest.
    largest = found.budget[0].name if found.budget else "bag count"
    know = MORE_EXACTLY.get(largest, f"measure more exactly: {largest}")
    if found.highest_probability < decision.conforming_from:
        inside = window.lowest_kg_m3.value <= found.density_kg_m3 <= window.highest_kg_m3.value
        also = "" if inside else f" And {move}, towards the target, and record it."
        return f"{_too_narrow(window, found.expanded_u_kg_m3)} Begin with its largest part: {know}.{also}"
    if found.verdict is Verdict.NON_CONFORMING:
        return f"To reach the target, {move} and record it."
    sample = "" if found.how is FoundBy.COMBINED else "take a sample; or "
    return f"To decide, {sample}{know}. Or {move}, towards the target, and record it."


def _of_bays(
    planned: Planned, window: Window, finding: CompartmentFinding, decision: Decision
) -> Iterator[Condition]:
    for bay in finding.bay_findings:
        judged = finding.shared or bay.gives_way
        if not judged or bay.verdict is Verdict.CONFORMING:
            continue
        subject = f"{planned.cavity.label}/{bay.bay}"
        yield Condition(
            code=NOT_SHOWN[bay.verdict],
            cavity=finding.cavity,
            subject=subject,
            detail=f"{subject}: the fill gives way under the hand."
            if bay.gives_way
            else f"{subject}: by its samples {_said(bay)} {_within(window, bay, decision)}",
            remedy=_bay_remedy(planned, window, bay, decision),
        )


def _bay_remedy(planned: Planned, window: Window, bay: BayFinding, decision: Decision) -> str:
    again = "record the fill with its bay, and sample the bay again"
    if planned.cavity.count > 1:
        again += ", as a correction of the old sample, because the cavities are identical"
    if bay.gives_way:
        return f"Re-compress the bay, {again}."
    if bay.highest_probability < decision.conforming_from:
        return _too_narrow(window, bay.expanded_u_kg_m3) + " Take a larger sample, or one of another shape."
    loose = bay.density_kg_m3 < window.target_kg_m3.value
    move = "Re-compress the bay" if loose else "Take material out of the bay"
    other = "Sample the bay in another way too. Or: " if bay.verdict is Verdict.INCONCLUSIVE else ""
    return f"{other}{move}, {again}."


def _of_plan(finding: CompartmentFinding, practice: Practice) -> Iterator[Condition]:
    short = finding.samples_needed - finding.sampled
    missing, remedies = [], []
    if short > 0:
        missing.append(f"{finding.sampled} of {finding.samples_needed} bays are sampled.")
        remedies.append(f"Sample {short} more bays.")
    if finding.shared and practice.sampling.last_bay and finding.mass_kg is not None:
        if finding.last_bay is None:
            missing.append("Which bay was filled last is not recorded.")
            remedies.append("Correct the last fill to name its bay, and sample that bay.")
        elif not finding.last_bay_sampled:
            missing.append(f"Bay {finding.last_bay}, filled last, is not sampled.")
            remedies.append(f"Sample bay {finding.last_bay}.")
    if missing:
        yield Condition(
            code=ConditionCode.SAMPLES_MISSING,
            cavity=finding.cavity,
            subject=finding.label,
            detail=f"{finding.label}: {' '.join(missing)} {finding.note}".rstrip(),
            remedy=" ".join(remedies),
        )


def _said(found: Achieved | BayFinding) -> str:
    return f"{found.density_kg_m3:.1f} +- {found.expanded_u_kg_m3:.1f} kg/m3 (k = 2)"


def _within(window: Window, found: Achieved | BayFinding, decision: Decision) -> str:
    return (
        f"lies within {window.lowest_kg_m3.value:g} to {window.highest_kg_m3.value:g} kg/m3 with probability "
        f"{found.probability:.3f}; {decision.conforming_from:g} is needed."
    )


def _too_narrow(window: Window, expanded_u_kg_m3: float) -> str:
    width = window.highest_kg_m3.value - window.lowest_kg_m3.value
    return (
        f"No density known to +- {expanded_u_kg_m3:.1f} kg/m3 can be shown to lie in a window of {width:g} "
        "kg/m3: the uncertainty has to become smaller."
    )
