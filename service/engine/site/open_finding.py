"""What was found of an open blow: mass per area, thickness as blown, markers."""

from dataclasses import dataclass
from statistics import fmean

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, Share, rectangular, type_a
from service.engine.ground.vocabulary import Standing, Verdict
from service.engine.plan.openblow import OpenBlow
from service.engine.site.conformity import probability, verdict, worst
from service.engine.site.entries import DepthCheck, Fill
from service.engine.site.mass_balance import net_blown, volume
from service.engine.site.planned import Basis, Planned, whole
from service.engine.survey.practice import Practice

MASS_PER_AREA = Formula(
    code="mass_per_area",
    name="Mass per area blown",
    expression="(blown_kg - removed_kg) / area_m2, to be at least that planned",
    source="definition; subjects of 16 CFR 460.17 and IECC R303.1.1",
    standing=Standing.DERIVED,
)
MEAN_THICKNESS = Formula(
    code="mean_thickness",
    name="Mean thickness as blown",
    expression="mean of depths_mm, to be at least the initial thickness planned",
    source="EN 15101-2 annex A has this subject; the mean is common practice",
    standing=Standing.COMMON_PRACTICE,
)

FORMULAS = (MASS_PER_AREA, MEAN_THICKNESS)


@dataclass(frozen=True, slots=True, kw_only=True)
class MassPerArea:
    """Mass per area in kg/m2 (k = 2 for the expanded uncertainty) against what is required."""

    mass_per_area_kg_m2: float
    u_kg_m2: float
    expanded_u_kg_m2: float
    required_kg_m2: float
    probability: float
    verdict: Verdict
    rule: str
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """Mean thickness as blown in mm (k = 2 for the expanded uncertainty) against what is required.

    `settled_mm` is what it settles to by the data sheet.
    """

    thickness_mm: float
    u_mm: float
    expanded_u_mm: float
    required_mm: float
    settled_mm: float
    lowest_mm: float
    highest_mm: float
    probability: float
    verdict: Verdict
    rule: str
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBlowFinding:
    """An open blow as it was found; masses and areas are of all identical cavities.

    `markers` is the largest number counted in one check, None without a check.
    Depths taken before the last fill are not counted.
    """

    area_m2: float
    expanded_u_area_m2: float
    mass_per_area: MassPerArea | None
    thickness: Thickness | None
    depths: int
    depths_needed: int
    markers: int | None
    markers_needed: int
    verdict: Verdict | None


def open_blow_finding(
    *,
    planned: Planned,
    plan: OpenBlow,
    fills: tuple[Fill, ...],
    checks: tuple[DepthCheck, ...],
    basis: Basis,
) -> OpenBlowFinding:
    """A cavity blown open, by its own fills and depth checks, both in order of recording."""
    area = _area(planned, plan, basis.practice)
    depths = tuple(depth for check in _since_last_fill(planned, fills, checks) for depth in check.depths_mm)
    mass_per_area = _mass_per_area(plan, area, fills, basis) if fills else None
    thickness = _thickness(plan, depths, basis.practice) if depths else None
    found = [each.verdict for each in (mass_per_area, thickness) if each]
    return OpenBlowFinding(
        area_m2=area.value,
        expanded_u_area_m2=area.expanded_u,
        mass_per_area=mass_per_area,
        thickness=thickness,
        depths=len(depths),
        depths_needed=basis.practice.sampling.at_least_depths * planned.cavity.count,
        markers=max((check.markers for check in checks), default=None),
        markers_needed=plan.markers,
        verdict=worst(found) if found else None,
    )


def _area(planned: Planned, plan: OpenBlow, practice: Practice) -> Measured:
    """The area that the plan's mass is spread over, with the uncertainty of everything but depth."""
    net = volume(planned=planned, space=whole(planned=planned), uncertainties=practice.uncertainties)
    per_m3 = plan.area_m2 / net.value
    return Measured(
        value=plan.area_m2,
        shares=tuple(share.scaled(per_m3) for share in net.shares if share.name != "depth"),
    )


def _since_last_fill(
    planned: Planned, fills: tuple[Fill, ...], checks: tuple[DepthCheck, ...]
) -> tuple[DepthCheck, ...]:
    """Of identical cavities nobody knows which one was filled last: there every check counts."""
    if planned.cavity.count > 1 or not fills:
        return checks
    return tuple(check for check in checks if check.at >= fills[-1].at)


def _mass_per_area(plan: OpenBlow, area: Measured, fills: tuple[Fill, ...], basis: Basis) -> MassPerArea:
    found = net_blown(fills=fills, basis=basis).over(area)
    required, decision = plan.mass_per_area_kg_m2, basis.practice.decision
    return MassPerArea(
        mass_per_area_kg_m2=found.value,
        u_kg_m2=found.u,
        expanded_u_kg_m2=found.expanded_u,
        required_kg_m2=required,
        probability=probability(value=found.value, u=found.u, lowest=required),
        verdict=verdict(value=found.value, u=found.u, decision=decision, lowest=required),
        rule=MASS_PER_AREA.name,
        source=MASS_PER_AREA.source,
        standing=MASS_PER_AREA.standing,
    )


def _thickness(plan: OpenBlow, depths_mm: tuple[float, ...], practice: Practice) -> Thickness:
    scatter = type_a(readings=depths_mm) if len(depths_mm) > 1 else 0.0
    found = Measured(
        value=fmean(depths_mm),
        shares=(
            Share(name="ruler", of="ruler", u=rectangular(half=practice.uncertainties.depth_half_mm)),
            Share(name="between places", of="places", u=scatter),
        ),
    )
    required, decision = plan.initial_mm, practice.decision
    return Thickness(
        thickness_mm=found.value,
        u_mm=found.u,
        expanded_u_mm=found.expanded_u,
        required_mm=required,
        settled_mm=found.value * (1 - plan.settlement_percent / 100),
        lowest_mm=min(depths_mm),
        highest_mm=max(depths_mm),
        probability=probability(value=found.value, u=found.u, lowest=required),
        verdict=verdict(value=found.value, u=found.u, decision=decision, lowest=required),
        rule=MEAN_THICKNESS.name,
        source=MEAN_THICKNESS.source,
        standing=MEAN_THICKNESS.standing,
    )
