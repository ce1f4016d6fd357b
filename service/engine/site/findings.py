"""What was found of each cavity: its compartments or its open blow, and the density as installed."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from service.engine.geometry.compartments import parts_of
from service.engine.geometry.plane import plane
from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.shapes import KgPerM3, Kilograms
from service.engine.ground.uncertainty import Measured, Scatter, total
from service.engine.ground.vocabulary import Element, Standing, Verdict
from service.engine.site.conformity import worst
from service.engine.site.dense import CompartmentFinding, dense_findings
from service.engine.site.entries import DepthCheck, Fill
from service.engine.site.evidence import Evidence, Gathered, scatter
from service.engine.site.mass_balance import MASS_BALANCE, Room, density, room
from service.engine.site.open_finding import OpenBlowFinding, open_blow_finding
from service.engine.site.planned import Basis, Planned
from service.engine.survey.practice import Practice

INSTALLED_OPEN = Formula(
    code="installed_open",
    expression="mass_per_area_kg_m2 / (thickness_mm/1000), the thickness as measured",
    source="definition of density",
    standing=Standing.DERIVED,
)

FORMULAS = (INSTALLED_OPEN,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Installed:
    """The density as installed of all that was filled of a cavity, in kg/m3 (k = 2)."""

    density_kg_m3: Annotated[KgPerM3, "density"]
    expanded_u_kg_m3: Annotated[KgPerM3, "its expanded uncertainty, k = 2"]
    provenance: Annotated[Provenance, "where the figure comes from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityFinding:
    """A cavity: either `compartments` or an `open_blow`; neither where no bay takes any fill.

    `mass_kg` is what is in its walls, None without a fill; `bags` is the number emptied
    where every fill was counted. `verdict` is the worst of the parts, None as long as one
    has no evidence. `installed` is of what was filled alone.
    """

    label: Annotated[str, "label of the cavity"]
    mass_kg: Annotated[Kilograms | None, "mass in the walls; none without a fill"]
    expanded_u_mass_kg: Annotated[Kilograms | None, "its expanded uncertainty, k = 2"]
    bags: Annotated[float | None, "bags emptied, where nothing was weighed"]
    installed: Annotated[Installed | None, "density as installed of what was filled"]
    compartments: Annotated[tuple[CompartmentFinding, ...], "compartments of a dense fill"]
    open_blow: Annotated[OpenBlowFinding | None, "what was found of an open blow"]
    verdict: Annotated[Verdict | None, "the worst of the parts; none as long as one has no evidence"]


def cavity_findings(
    *,
    cavities: tuple[Planned, ...],
    found: Gathered,
    checks: tuple[DepthCheck, ...],
    basis: Basis,
) -> tuple[CavityFinding, ...]:
    """Every planned cavity by the evidence of it; depth checks are in order of what happened."""
    dense = [
        each for planned in cavities if planned.density for each in found.of_cavity[planned.cavity.label]
    ]
    scatters = scatter(evidence=dense, basis=basis)
    by_cavity: dict[str, list[DepthCheck]] = {}
    for check in checks:
        by_cavity.setdefault(check.cavity, []).append(check)
    return tuple(
        _cavity(
            planned,
            found.of_cavity[planned.cavity.label],
            tuple(by_cavity.get(planned.cavity.label, ())),
            scatters,
            basis.practice,
        )
        for planned in cavities
    )


def _cavity(
    planned: Planned,
    evidence: tuple[Evidence, ...],
    checks: tuple[DepthCheck, ...],
    scatters: Mapping[Element, Scatter],
    practice: Practice,
) -> CavityFinding:
    masses = [each.mass for each in evidence if each.mass]
    mass = total(masses) if masses else None
    fills = tuple(fill for each in evidence for fill in each.fills)
    compartments: tuple[CompartmentFinding, ...] = ()
    open_blow, installed = None, None
    if planned.density and evidence:
        rooms = _rooms(evidence, practice)
        compartments = dense_findings(
            evidence=evidence,
            rooms=rooms,
            window=planned.density,
            scatter=scatters[planned.cavity.element],
            practice=practice,
        )
        installed = _installed_dense(evidence, rooms) if mass else None
    if planned.open_blow:
        open_blow = open_blow_finding(
            evidence=evidence[0], plan=planned.open_blow, checks=checks, practice=practice
        )
        installed = _installed_open(open_blow)
    return CavityFinding(
        label=planned.cavity.label,
        mass_kg=mass.value if mass else None,
        expanded_u_mass_kg=mass.expanded_u if mass else None,
        bags=_bags(fills),
        installed=installed,
        compartments=compartments,
        open_blow=open_blow,
        verdict=_verdict(compartments, open_blow),
    )


def _bags(fills: tuple[Fill, ...]) -> float | None:
    """Bags emptied, where nothing was weighed."""
    counted = [fill.bags for fill in fills if fill.bags]
    return sum(counted) if counted and not any(fill.mass_kg for fill in fills) else None


def _rooms(evidence: tuple[Evidence, ...], practice: Practice) -> tuple[Room, ...]:
    laid_out = plane(cavity=evidence[0].planned.cavity)
    clear = parts_of(laid_out=laid_out)
    return tuple(
        room(
            planned=each.planned,
            space=each.space,
            fills=each.fills,
            laid_out=laid_out,
            parts=clear,
            practice=practice,
        )
        for each in evidence
    )


def _installed_dense(evidence: tuple[Evidence, ...], rooms: tuple[Room, ...]) -> Installed:
    """Of the spaces that were filled together, their room with the bulge that was found."""
    filled = [(each.mass, of) for each, of in zip(evidence, rooms, strict=True) if each.mass]
    known = density(masses=(mass for mass, _ in filled), rooms=(of for _, of in filled))
    return _installed(known, MASS_BALANCE)


def _installed_open(found: OpenBlowFinding) -> Installed | None:
    """Only where both mass and thickness were measured: nothing is said of what nobody measured."""
    mass, thickness = found.mass_per_area, found.thickness
    if not mass or not thickness:
        return None
    value = mass.mass_per_area_kg_m2 / thickness.thickness_mm * 1000
    relative = (mass.u_kg_m2 / mass.mass_per_area_kg_m2) if mass.mass_per_area_kg_m2 else 0.0
    u = value * (relative**2 + (thickness.u_mm / thickness.thickness_mm) ** 2) ** 0.5
    return Installed(
        density_kg_m3=value,
        expanded_u_kg_m3=2 * u,
        provenance=INSTALLED_OPEN.provenance,
    )


def _installed(known: Measured, formula: Formula) -> Installed:
    return Installed(
        density_kg_m3=known.value,
        expanded_u_kg_m3=known.expanded_u,
        provenance=formula.provenance,
    )


def _verdict(
    compartments: tuple[CompartmentFinding, ...], open_blow: OpenBlowFinding | None
) -> Verdict | None:
    if open_blow:
        return open_blow.verdict
    verdicts = [compartment.verdict for compartment in compartments]
    known = [verdict for verdict in verdicts if verdict]
    return worst(known) if known and len(known) == len(verdicts) else None
