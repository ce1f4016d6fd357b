"""What stands in the way of a certificate, and what would clear it.

The conditions of a dense fill's density are in `density_conditions`, those of the holes in
the facing in `hole_conditions`, those of what was said or not said of masses and lots in
`ledger_conditions`; here are those of everything else.
"""

from collections.abc import Iterator
from datetime import datetime

from service.engine.ground.messages import Quantity, Value, message
from service.engine.ground.vocabulary import Answer, ConditionCode, Subject, Verdict
from service.engine.site.condition import Condition
from service.engine.site.conformity import guarded
from service.engine.site.findings import CavityFinding
from service.engine.site.hold_point_findings import HoldPointFinding
from service.engine.site.open_finding import MassPerArea, OpenBlowFinding, Thickness
from service.engine.site.planned import Planned
from service.engine.survey.practice import Decision

NOT_SHOWN = {
    Verdict.NON_CONFORMING: ConditionCode.DENSITY_NON_CONFORMING,
    Verdict.INCONCLUSIVE: ConditionCode.DENSITY_INCONCLUSIVE,
}


def agreement_conditions(*, planned: Planned) -> Iterator[Condition]:
    """A part that belongs to a supplement which nobody has accepted and the office has not taken over."""
    if not planned.agreed:
        label, supplement = planned.cavity.label, planned.supplement or ""
        yield Condition(
            code=ConditionCode.PART_NOT_ACCEPTED,
            cavity=label,
            subject=label,
            detail=message("site.part_not_accepted", supplement=supplement),
            remedy=message("site.part_not_accepted_remedy", supplement=supplement),
            concedable=False,
        )


def fill_conditions(*, finding: CavityFinding, nothing_to_fill: bool = False) -> Iterator[Condition]:
    """A cavity without a fill, or the compartments and closed bays that no fill went into.

    Of one whose every bay was full, blocked or absent there is `nothing_to_fill`, and nothing to certify.
    """
    if finding.mass_kg is None:
        yield _fill_missing(finding.label, finding.label, "all_apart" if nothing_to_fill else "fill_missing")
        return
    for space in finding.compartments:
        if space.mass_kg is None:
            yield _fill_missing(finding.label, space.label)
        for bay in space.unfilled:
            yield _fill_missing(finding.label, f"{finding.label}/{bay}")


def open_blow_conditions(*, cavity: str, finding: OpenBlowFinding, decision: Decision) -> Iterator[Condition]:
    """Mass per area, thickness, the number of depths and of markers of an open blow."""
    if finding.mass_per_area:
        yield from _of_mass(cavity, finding, finding.mass_per_area, decision)
    if finding.thickness:
        yield from _of_thickness(cavity, finding.thickness, decision)
    if finding.depths < finding.depths_needed:
        yield Condition(
            code=ConditionCode.DEPTH_CHECK_MISSING,
            cavity=cavity,
            subject=cavity,
            detail=message("site.depths_missing", measured=finding.depths, needed=finding.depths_needed),
            remedy=message("site.depths_missing_remedy", count=finding.depths_needed - finding.depths),
        )
    if (finding.markers or 0) < finding.markers_needed:
        yield Condition(
            code=ConditionCode.MARKERS_MISSING,
            cavity=cavity,
            subject=cavity,
            detail=message("site.markers_missing", found=finding.markers or 0, needed=finding.markers_needed),
            remedy=message("site.markers_missing_remedy"),
        )


def hold_point_conditions(*, findings: tuple[HoldPointFinding, ...]) -> Iterator[Condition]:
    """Hold points that are open, stopped, lack their reading, or were answered too late to hold anything."""
    for each in findings:
        if each.answer is None:
            yield _of_point(ConditionCode.HOLD_POINT_OPEN, each, concedable=not each.safety, due=each.stage)
        elif each.answer is Answer.STOPPED:
            yield _of_point(ConditionCode.CHECK_STOPPED, each, by=each.by or "", remark=each.remark or "–")
        elif each.lacks_reading and each.limit:
            yield _of_point(ConditionCode.READING_MISSING, each, unit=each.limit.unit)
        if each.answer is not None and each.safety and each.late:
            yield _of_point(
                ConditionCode.HOLD_POINT_LATE,
                each,
                concedable=True,
                answered=_moment(each.first_answered_at),
                filled=_moment(each.first_filled_at),
            )


def _moment(told: str | None) -> Value:
    return datetime.fromisoformat(told) if told else ""


def _fill_missing(cavity: str, subject: str, how: str = "fill_missing") -> Condition:
    return Condition(
        code=ConditionCode.FILL_MISSING,
        cavity=cavity,
        subject=subject,
        detail=message(f"site.{how}", subject=subject),
        remedy=message(f"site.{how}_remedy"),
        concedable=False,
    )


def _of_mass(
    cavity: str, finding: OpenBlowFinding, found: MassPerArea, decision: Decision
) -> Iterator[Condition]:
    if found.verdict is Verdict.CONFORMING:
        return
    least = guarded(required=found.required_kg_m2, u=found.u_kg_m2, decision=decision)
    more_kg = (least - found.mass_per_area_kg_m2) * finding.area_m2
    yield Condition(
        code=NOT_SHOWN[found.verdict],
        cavity=cavity,
        subject=Subject.MASS_PER_AREA,
        detail=message(
            "site.mass_per_area_not_shown",
            found=Quantity(found.mass_per_area_kg_m2, "kg/m2"),
            expanded_u=Quantity(found.expanded_u_kg_m2, "kg/m2"),
            required=Quantity(found.required_kg_m2, "kg/m2"),
            probability=round(found.probability, 3),
        ),
        remedy=message(
            "site.mass_per_area_not_shown_remedy",
            more=Quantity(more_kg, "kg"),
            least=Quantity(least, "kg/m2"),
        ),
    )


def _of_thickness(cavity: str, found: Thickness, decision: Decision) -> Iterator[Condition]:
    if found.verdict is Verdict.CONFORMING:
        return
    least = guarded(required=found.required_mm, u=found.u_mm, decision=decision)
    yield Condition(
        code=NOT_SHOWN[found.verdict],
        cavity=cavity,
        subject=Subject.THICKNESS,
        detail=message(
            "site.thickness_not_shown",
            found=Quantity(found.thickness_mm, "mm"),
            expanded_u=Quantity(found.expanded_u_mm, "mm"),
            required=Quantity(found.required_mm, "mm"),
            probability=round(found.probability, 3),
        ),
        remedy=message("site.thickness_not_shown_remedy", least=Quantity(least, "mm")),
    )


def _of_point(
    code: ConditionCode, point: HoldPointFinding, *, concedable: bool = False, **values: Value
) -> Condition:
    return Condition(
        code=code,
        cavity=point.cavity,
        subject=point.code,
        detail=message(f"site.{code.value}", point=point.code, **values),
        remedy=message(f"site.{code.value}_remedy", point=point.code, **values),
        concedable=concedable,
    )
