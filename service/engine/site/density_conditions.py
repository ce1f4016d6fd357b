"""Conditions of a dense fill's density, with what would clear each."""

from collections.abc import Iterator

from service.engine.ground.messages import Message, Quantity, Value, message
from service.engine.ground.vocabulary import ConditionCode, FoundBy, Verdict
from service.engine.plan.bounds import highest_loading
from service.engine.plan.density import Window
from service.engine.site.condition import Condition
from service.engine.site.conditions import NOT_SHOWN
from service.engine.site.conformity import Achieved
from service.engine.site.dense import CompartmentFinding
from service.engine.site.findings import CavityFinding
from service.engine.site.planned import Planned
from service.engine.site.samples import BayFinding
from service.engine.survey.practice import Decision, Material, Practice

MORE_EXACTLY = {
    "budget.left_in_the_machine": message("site.run_the_machine_empty"),
    "budget.machine_run_empty": message("site.note_bays_together"),
    "budget.bag_mass": message("site.weigh_more_bags"),
    "budget.bag_spread": message("site.weigh_what_is_blown"),
    "budget.scale": message("site.use_a_better_scale"),
    "budget.bulge": message("site.measure_the_bulge"),
    "budget.spill_shared_out": message("site.say_where_spill_fell"),
    "budget.between_bays": message("site.sample_more_bays"),
}


def density_conditions(
    *, planned: Planned, window: Window, finding: CompartmentFinding, practice: Practice
) -> Iterator[Condition]:
    """Everything that is not shown of a compartment's density."""
    yield from _of_contradiction(finding, practice.decision)
    yield from _of_whole(window, finding, practice.decision)
    yield from _of_bays(planned, window, finding)
    yield from _of_plan(finding, practice)


def loading_conditions(
    *, planned: Planned, finding: CavityFinding, material: Material
) -> Iterator[Condition]:
    """Densities as found above the highest loading that the maker permits at this depth.

    And a cavity that no density suits as it was found: deeper than any loading, for one.
    """
    if planned.unfit:
        yield Condition(
            code=ConditionCode.LOADING_EXCEEDED,
            cavity=finding.label,
            subject=finding.label,
            detail=planned.unfit,
            remedy=message("site.unfit_as_found_remedy", part=finding.label),
        )
        return
    depth_mm = planned.open_blow.initial_mm if planned.open_blow else planned.cavity.depth_mm
    limit = highest_loading(depth_mm=depth_mm, material=material)
    for label, density_kg_m3 in _densities(planned, finding):
        if limit and density_kg_m3 > limit.value:
            yield Condition(
                code=ConditionCode.LOADING_EXCEEDED,
                cavity=finding.label,
                subject=label,
                detail=message(
                    "site.loading_exceeded",
                    part=label,
                    density=Quantity(density_kg_m3, "kg/m3"),
                    limit=Quantity(limit.value, "kg/m3"),
                ),
                remedy=message("site.loading_exceeded_remedy"),
            )


def _densities(planned: Planned, finding: CavityFinding) -> Iterator[tuple[str, float]]:
    for space in finding.compartments:
        if found := space.achieved or space.mass_balance:
            yield space.label, found.density_kg_m3
    if planned.open_blow and finding.open_blow and (found_mass := finding.open_blow.mass_per_area):
        yield finding.label, found_mass.mass_per_area_kg_m2 / (planned.open_blow.settled_mm / 1000)


def _of_contradiction(finding: CompartmentFinding, decision: Decision) -> Iterator[Condition]:
    """Two results that contradict each other; only where the firm declares that this rule decides."""
    balance, samples = finding.mass_balance, finding.by_samples
    if finding.achieved or not balance or not samples or not decision.contradiction_decides:
        return
    yield Condition(
        code=ConditionCode.DENSITY_CONTRADICTION,
        cavity=finding.cavity,
        subject=finding.label,
        detail=message(
            "site.density_contradiction",
            part=finding.label,
            balance=_density(balance),
            expanded_u_balance=_expanded(balance),
            samples=_density(samples),
            expanded_u_samples=_expanded(samples),
            error=finding.normalised_error or 0.0,
        ),
        remedy=message("site.density_contradiction_remedy"),
    )


def _of_whole(window: Window, finding: CompartmentFinding, decision: Decision) -> Iterator[Condition]:
    """The compartment as a whole; where two results contradict each other, only what both refuse."""
    found = finding.achieved
    results = [each for each in (finding.mass_balance, finding.by_samples) if each]
    if not found and results and all(each.verdict is Verdict.NON_CONFORMING for each in results):
        found = results[0]
    if not found or found.verdict is Verdict.CONFORMING:
        return
    yield Condition(
        code=NOT_SHOWN[found.verdict],
        cavity=finding.cavity,
        subject=finding.label,
        detail=message(
            "site.density_not_shown",
            part=finding.label,
            probability=round(found.probability, 3),
            needed=decision.conforming_from,
            **_against(window, found),
        ),
        remedy=_remedy(window, finding, found, decision),
    )


def _remedy(window: Window, finding: CompartmentFinding, found: Achieved, decision: Decision) -> Message:
    move, know = _move(window, finding, found), _know(found)
    if found.highest_probability < decision.conforming_from:
        inside = window.lowest_kg_m3.value <= found.density_kg_m3 <= window.highest_kg_m3.value
        how = "site.know_more_exactly" if inside else "site.know_more_exactly_and_move"
        return message(how, know=know, move=move, expanded_u=_expanded(found))
    if found.verdict is Verdict.NON_CONFORMING:
        return message("site.move_to_target", move=move)
    how = "site.decide_by_more" if found.how is FoundBy.COMBINED else "site.decide_by_sample_or_more"
    return message(how, know=know, move=move)


def _move(window: Window, finding: CompartmentFinding, found: Achieved) -> Message:
    volume_m3 = finding.net_volume_m3 + finding.bulge_volume_m3
    shift_kg = (window.target_kg_m3.value - found.density_kg_m3) * volume_m3
    return message("site.blow_more" if shift_kg > 0 else "site.take_out", mass=Quantity(abs(shift_kg), "kg"))


def _know(found: Achieved) -> Message:
    """What would make the largest part of an uncertainty smaller; a fill of nothing has none."""
    if not found.budget:
        return message("site.weigh_what_is_blown")
    largest = found.budget[0].name
    return MORE_EXACTLY.get(largest.code) or message("site.measure_more_exactly", what=largest)


def _of_bays(planned: Planned, window: Window, finding: CompartmentFinding) -> Iterator[Condition]:
    for bay in finding.bay_findings:
        judged = finding.shared or bay.gives_way
        if not judged or bay.verdict is Verdict.CONFORMING:
            continue
        part = f"{planned.cavity.label}/{bay.bay}"
        yield Condition(
            code=NOT_SHOWN[bay.verdict],
            cavity=finding.cavity,
            subject=part,
            detail=message("site.bay_gives_way", part=part)
            if bay.gives_way
            else message("site.bay_outside_window", part=part, **_against(window, bay)),
            remedy=_bay_remedy(window, bay),
        )


def _bay_remedy(window: Window, bay: BayFinding) -> Message:
    loose = bay.gives_way or bay.density_kg_m3 < window.target_kg_m3.value
    return message("site.pack_again" if loose else "site.empty_partly")


def _of_plan(finding: CompartmentFinding, practice: Practice) -> Iterator[Condition]:
    """Samples that the firm's plan asks for, of the bay that was filled last, and of bays worked on again."""
    again = _to_sample_again(finding)
    short = finding.samples_needed - finding.sampled
    unsampled = finding.shared and practice.sampling.last_bay and finding.mass_kg is not None
    last_unsampled = not finding.last_bay_sampled and finding.last_bay not in again
    if short > 0:
        yield _samples_missing(
            finding, "samples_missing", count=short, sampled=finding.sampled, needed=finding.samples_needed
        )
    elif unsampled and finding.last_bay is None:
        yield _samples_missing(finding, "last_bay_unknown")
    elif unsampled and finding.last_bay is not None and last_unsampled:
        yield _samples_missing(finding, "last_bay_not_sampled", bay=finding.last_bay)
    for bay in again:
        part = f"{finding.cavity}/{bay}"
        yield _samples_missing(finding, "bay_not_sampled_again", subject=part, part=part, bay=bay)


def _to_sample_again(finding: CompartmentFinding) -> tuple[int, ...]:
    """Bays that a sample refused, and that were packed or emptied since without another one."""
    counting = {each.bay for each in finding.samples if not each.superseded}
    refused = {each.bay for each in finding.samples if each.verdict is Verdict.NON_CONFORMING}
    return tuple(sorted(refused - counting))


def _samples_missing(
    finding: CompartmentFinding, how: str, subject: str | None = None, **values: Value
) -> Condition:
    values = {"part": finding.label, **values}
    return Condition(
        code=ConditionCode.SAMPLES_MISSING,
        cavity=finding.cavity,
        subject=subject or finding.label,
        detail=message(f"site.{how}", **values),
        remedy=message(f"site.{how}_remedy", **values),
    )


def _against(window: Window, found: Achieved | BayFinding) -> dict[str, Value]:
    return {
        "density": _density(found),
        "expanded_u": _expanded(found),
        "lowest": Quantity(window.lowest_kg_m3.value, "kg/m3"),
        "highest": Quantity(window.highest_kg_m3.value, "kg/m3"),
    }


def _density(found: Achieved | BayFinding) -> Quantity:
    return Quantity(found.density_kg_m3, "kg/m3")


def _expanded(found: Achieved | BayFinding) -> Quantity:
    return Quantity(found.expanded_u_kg_m3, "kg/m3")
