"""What was found of an open blow: mass per area, thickness as blown, markers."""

from dataclasses import dataclass
from statistics import fmean
from typing import Annotated

from service.engine.geometry.plane import plane
from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.shapes import KgPerM2, Millimetres, Probability, SquareMetres
from service.engine.ground.uncertainty import Measured, Share, mean_u, rectangular
from service.engine.ground.vocabulary import Standing, Verdict
from service.engine.plan.openblow import OpenBlow
from service.engine.site.conformity import probability, verdict, worst
from service.engine.site.entries import DepthCheck, Fill
from service.engine.site.evidence import Evidence
from service.engine.site.mass_balance import volume
from service.engine.survey.practice import Practice

MASS_PER_AREA = Formula(
    code="mass_per_area",
    expression="kilograms in the floor / area_m2, to be at least what is required",
    source="definition; subjects of 16 CFR 460.17 and IECC R303.1.1",
    standing=Standing.DERIVED,
)
MEAN_THICKNESS = Formula(
    code="mean_thickness",
    expression="mean of depths_mm, to be at least the initial thickness planned",
    source="EN 15101-2 annex A has this subject; the mean is common practice",
    standing=Standing.COMMON_PRACTICE,
)

FORMULAS = (MASS_PER_AREA, MEAN_THICKNESS)


@dataclass(frozen=True, slots=True, kw_only=True)
class MassPerArea:
    """Mass per area in kg/m2 (k = 2 for the expanded uncertainty) against what is required."""

    mass_per_area_kg_m2: Annotated[KgPerM2, "mass per area"]
    u_kg_m2: Annotated[KgPerM2, "its standard uncertainty"]
    expanded_u_kg_m2: Annotated[KgPerM2, "its expanded uncertainty, k = 2"]
    required_kg_m2: Annotated[KgPerM2, "the least that conforms"]
    probability: Annotated[Probability, "probability of conformity"]
    verdict: Annotated[Verdict, "verdict by the decision rule"]
    provenance: Annotated[Provenance, "where the figure comes from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """Mean thickness as blown in mm (k = 2 for the expanded uncertainty) against what is required.

    `settled_mm` is what it settles to by the data sheet.
    """

    thickness_mm: Annotated[Millimetres, "mean thickness as blown"]
    u_mm: Annotated[Millimetres, "its standard uncertainty"]
    expanded_u_mm: Annotated[Millimetres, "its expanded uncertainty, k = 2"]
    required_mm: Annotated[Millimetres, "the least that conforms"]
    settled_mm: Annotated[Millimetres, "what it settles to by the data sheet"]
    lowest_mm: Annotated[Millimetres, "the least reading"]
    highest_mm: Annotated[Millimetres, "the greatest reading"]
    probability: Annotated[Probability, "probability of conformity"]
    verdict: Annotated[Verdict, "verdict by the decision rule"]
    provenance: Annotated[Provenance, "where the figure comes from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBlowFinding:
    """An open blow as it was found.

    `markers` is the largest number counted in one check, None without a check.
    Depths taken before the last fill are not counted; a tally tells of what was filled before them.
    """

    area_m2: Annotated[SquareMetres, "area covered"]
    expanded_u_area_m2: Annotated[SquareMetres, "its expanded uncertainty, k = 2"]
    mass_per_area: Annotated[MassPerArea | None, "mass per area, where something was blown"]
    thickness: Annotated[Thickness | None, "thickness, where somebody measured it"]
    depths: Annotated[int, "readings since the last fill"]
    depths_needed: Annotated[int, "readings that the firm asks for"]
    markers: Annotated[int | None, "the most markers counted in one check"]
    markers_needed: Annotated[int, "markers by the plan"]
    verdict: Annotated[Verdict | None, "verdict by the decision rule"]


def open_blow_finding(
    *, evidence: Evidence, plan: OpenBlow, checks: tuple[DepthCheck, ...], practice: Practice
) -> OpenBlowFinding:
    """A cavity blown open, by its own evidence and depth checks, in the order of what happened."""
    area = _area(evidence, plan, practice)
    depths = tuple(depth for check in _since_last_fill(evidence.single, checks) for depth in check.depths_mm)
    mass_per_area = _mass_per_area(plan, area, evidence.mass, practice) if evidence.mass else None
    thickness = _thickness(plan, depths, practice) if depths else None
    return OpenBlowFinding(
        area_m2=area.value,
        expanded_u_area_m2=area.expanded_u,
        mass_per_area=mass_per_area,
        thickness=thickness,
        depths=len(depths),
        depths_needed=practice.sampling.at_least_depths,
        markers=max((check.markers for check in checks), default=None),
        markers_needed=plan.markers,
        verdict=_verdict(mass_per_area, thickness),
    )


def _verdict(mass_per_area: MassPerArea | None, thickness: Thickness | None) -> Verdict | None:
    """The worse of both; of one alone nothing but that it fails: the other is not shown by it."""
    known = [each.verdict for each in (mass_per_area, thickness) if each]
    both = mass_per_area is not None and thickness is not None
    return worst(known) if both or Verdict.NON_CONFORMING in known else None


def _area(evidence: Evidence, plan: OpenBlow, practice: Practice) -> Measured:
    """The area that the plan's mass is spread over, with the uncertainty of everything but depth."""
    laid_out = plane(cavity=evidence.planned.cavity)
    net = volume(planned=evidence.planned, space=evidence.space, laid_out=laid_out, practice=practice)
    per_m3 = plan.area_m2 / net.value
    return Measured(
        value=plan.area_m2,
        shares=tuple(share.scaled(per_m3) for share in net.shares if share.name != "depth"),
    )


def _since_last_fill(fills: tuple[Fill, ...], checks: tuple[DepthCheck, ...]) -> tuple[DepthCheck, ...]:
    return tuple(check for check in checks if not fills or check.at >= fills[-1].at)


def _mass_per_area(plan: OpenBlow, area: Measured, mass: Measured, practice: Practice) -> MassPerArea:
    found = mass.over(area)
    required, decision = plan.mass_per_area_kg_m2, practice.decision
    return MassPerArea(
        mass_per_area_kg_m2=found.value,
        u_kg_m2=found.u,
        expanded_u_kg_m2=found.expanded_u,
        required_kg_m2=required,
        probability=probability(value=found.value, u=found.u, lowest=required),
        verdict=verdict(value=found.value, u=found.u, decision=decision, lowest=required),
        provenance=MASS_PER_AREA.provenance,
    )


def _thickness(plan: OpenBlow, depths_mm: tuple[float, ...], practice: Practice) -> Thickness:
    """The mean of the readings: what the ruler is off is in all of them, what the floor scatters is not."""
    errors = practice.uncertainties.reading
    scatter = mean_u(readings=depths_mm, declared=errors.evenness_u_mm)
    found = Measured(
        value=fmean(depths_mm),
        shares=(
            Share(name="ruler", of="ruler", u=rectangular(half=errors.ruler_half_mm)),
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
        provenance=MEAN_THICKNESS.provenance,
    )
