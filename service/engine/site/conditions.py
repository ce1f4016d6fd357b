"""What stands in the way of a certificate, and what would clear it.

The conditions of a dense fill's density are in `density_conditions`, those of the
holes in the facing in `opening_conditions`; here are those of everything else.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from service.engine.ground.vocabulary import ConditionCode, Stage, Verdict
from service.engine.site.conformity import least_conforming
from service.engine.site.findings import CavityFinding
from service.engine.site.hold_point_findings import HoldPointFinding
from service.engine.site.open_finding import MassPerArea, OpenBlowFinding, Thickness
from service.engine.site.stock import StockFinding
from service.engine.survey.practice import Decision

NOT_SHOWN = {
    Verdict.NON_CONFORMING: ConditionCode.DENSITY_NON_CONFORMING,
    Verdict.INCONCLUSIVE: ConditionCode.DENSITY_INCONCLUSIVE,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One unmet condition: of a cavity, or None of the whole job; `subject` is what it is about in it.

    `detail` says what is wrong, `remedy` what would clear it. Only a `waivable`
    condition can be let stand by a deviation.
    """

    code: ConditionCode
    cavity: str | None
    subject: str
    detail: str
    remedy: str
    waivable: bool = True


def fill_conditions(*, finding: CavityFinding) -> Iterator[Condition]:
    """A cavity without a fill, or the compartments and closed bays that no fill went into."""
    spaces = [each for each in finding.compartments if each.mass_kg is None]
    if finding.mass_kg is None:
        yield _fill_missing(finding.label, finding.label, "No fill is recorded.")
        return
    for space in spaces:
        yield _fill_missing(finding.label, space.label, f"No fill is recorded for {space.label}.")
    for bay in (bay for space in finding.compartments for bay in space.unfilled):
        label = f"{finding.label}/{bay}"
        yield _fill_missing(
            finding.label,
            label,
            f"No fill is recorded for {label}, which is closed off from the others.",
            " If an opening takes up the whole bay, let the office say so in a deviation.",
        )


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
            detail=f"{finding.depths} of {finding.depths_needed} depths are measured since the last fill.",
            remedy=f"Measure {finding.depths_needed - finding.depths} more depths, spread over the area.",
        )
    if (finding.markers or 0) < finding.markers_needed:
        yield Condition(
            code=ConditionCode.MARKERS_MISSING,
            cavity=cavity,
            subject=cavity,
            detail=f"{finding.markers or 0} of {finding.markers_needed} thickness markers are counted.",
            remedy="Set the missing markers, facing the access, and record a depth check that counts all.",
        )


def hold_point_conditions(*, findings: tuple[HoldPointFinding, ...]) -> Iterator[Condition]:
    """Hold points without an answer, and those of safety that were answered too late to hold anything."""
    for each in findings:
        if each.answer is None:
            due = "before filling" if each.stage is Stage.BEFORE else "after filling"
            yield Condition(
                code=ConditionCode.HOLD_POINT_OPEN,
                cavity=each.cavity,
                subject=each.code,
                detail=f"The hold point {each.code}, due {due}, is not answered.",
                remedy="Check it on the site and record the answer; local code and licensed trades decide.",
                waivable=not each.safety,
            )
        elif each.safety and each.late:
            yield Condition(
                code=ConditionCode.HOLD_POINT_LATE,
                cavity=each.cavity,
                subject=each.code,
                detail=f"The hold point {each.code}, due before filling, was answered at "
                f"{each.first_answered_at}; the first fill was at {each.first_filled_at}.",
                remedy="If it was checked in time and written down later, correct the answer to the time of "
                "the check. Else check again what the fill now hides, opening it where needed, and let the "
                "office say in a deviation why it may stay; local code and licensed trades decide.",
            )


def stock_conditions(*, stock: StockFinding | None) -> Iterator[Condition]:
    """Stock that does not add up, or was not recorded."""
    if stock is None:
        yield _unreconciled(
            "No stock is recorded.", "Record the bags delivered and left over and the spill bagged again."
        )
    elif not stock.reconciled:
        missing = stock.difference_kg > 0
        yield _unreconciled(
            f"{abs(stock.difference_kg):.1f} kg {'are missing' if missing else 'are too many'}: delivered "
            f"{stock.delivered_kg:.1f} kg, blown {stock.blown_kg:.1f} kg, left over "
            f"{stock.left_over_kg:.1f} kg, reclaimed {stock.reclaimed_kg:.1f} kg; within "
            f"{stock.expanded_u_difference_kg:.1f} kg (k = 2) it would be as good as nothing.",
            "Look for a fill, a delivery or reclaimed spill that is not recorded or wrong, and correct it."
            if missing
            else "Look for a delivery that is not recorded or a fill that is recorded twice, and correct it.",
        )


def _fill_missing(cavity: str, subject: str, detail: str, unless: str = "") -> Condition:
    return Condition(
        code=ConditionCode.FILL_MISSING,
        cavity=cavity,
        subject=subject,
        detail=detail,
        remedy=f"Fill it, or record the fill that was made.{unless}",
    )


def _of_mass(
    cavity: str, finding: OpenBlowFinding, found: MassPerArea, decision: Decision
) -> Iterator[Condition]:
    if found.verdict is Verdict.CONFORMING:
        return
    least = least_conforming(required=found.required_kg_m2, u=found.u_kg_m2, decision=decision)
    more_kg = (least - found.mass_per_area_kg_m2) * finding.area_m2
    yield Condition(
        code=NOT_SHOWN[found.verdict],
        cavity=cavity,
        subject="mass per area",
        detail=f"Blown are {found.mass_per_area_kg_m2:.2f} +- {found.expanded_u_kg_m2:.2f} kg/m2 (k = 2), at "
        f"least {found.required_kg_m2:.2f} kg/m2 are required: shown with probability "
        f"{found.probability:.3f}.",
        remedy=f"Blow in about {more_kg:.1f} kg more: from {least:.2f} kg/m2 on it conforms. Or know the "
        "mass more exactly: weigh bags, or weigh what is blown.",
    )


def _of_thickness(cavity: str, found: Thickness, decision: Decision) -> Iterator[Condition]:
    if found.verdict is Verdict.CONFORMING:
        return
    least = least_conforming(required=found.required_mm, u=found.u_mm, decision=decision)
    yield Condition(
        code=NOT_SHOWN[found.verdict],
        cavity=cavity,
        subject="thickness",
        detail=f"The mean thickness is {found.thickness_mm:.0f} +- {found.expanded_u_mm:.0f} mm (k = 2), at "
        f"least {found.required_mm:.0f} mm as blown are required: shown with probability "
        f"{found.probability:.3f}.",
        remedy=f"Blow up to a mean of at least {least:.0f} mm and level it, then measure again; more depths "
        "make the mean more certain.",
    )


def _unreconciled(detail: str, remedy: str) -> Condition:
    return Condition(
        code=ConditionCode.STOCK_UNRECONCILED,
        cavity=None,
        subject="stock",
        detail=detail,
        remedy=remedy,
    )
