"""The assessment of a job: what its ledger shows, and what still stands in the way of a certificate.

The same ledger always gives the same assessment, whatever the order of its entries.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Annotated

from service.engine.ground.formula import Rule
from service.engine.ground.shapes import Kilograms
from service.engine.plan.hold_points import HoldPoint
from service.engine.plan.undeclared import undeclared
from service.engine.site.as_found import FoundFinding, as_found, found_findings
from service.engine.site.bag_mass import BagMass, bag_masses
from service.engine.site.condition import Condition
from service.engine.site.conditions import (
    agreement_conditions,
    fill_conditions,
    hold_point_conditions,
    open_blow_conditions,
)
from service.engine.site.density_conditions import density_conditions, loading_conditions
from service.engine.site.entries import Core, Delivery, DepthCheck, Found, Reclaimed
from service.engine.site.evidence import basis_of, gathered
from service.engine.site.findings import CavityFinding, cavity_findings
from service.engine.site.footnotes import footnotes
from service.engine.site.hold_point_findings import HoldPointFinding, hold_point_findings
from service.engine.site.hole_conditions import hole_conditions
from service.engine.site.hole_findings import HolesFinding
from service.engine.site.holes_made import holes_findings
from service.engine.site.ledger import Ledger, by_part
from service.engine.site.ledger_conditions import ledger_conditions, stock_conditions
from service.engine.site.planned import Planned
from service.engine.site.said import said
from service.engine.site.stock import StockFinding, Whereabouts, reconciliations, whereabouts
from service.engine.site.undeclared_conditions import undeclared_conditions
from service.engine.survey.practice import Material, Practice

__all__ = ["Assessment", "Condition", "Planned", "assess"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """What was found of a job, and what still stands in the way of a certificate."""

    cavities: Annotated[tuple[CavityFinding, ...], "what was found of each cavity"]
    mass_kg: Annotated[Kilograms, "mass in the walls of the whole job"]
    expanded_u_mass_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    bag_masses: Annotated[tuple[BagMass, ...], "what a bag weighs, of each material that came"]
    stock: Annotated[tuple[StockFinding, ...], "stock of each lot, or of the job"]
    whereabouts: Annotated[Whereabouts, "what became of what was emptied"]
    hold_points: Annotated[tuple[HoldPointFinding, ...], "hold points and their answers"]
    holes: Annotated[tuple[HolesFinding, ...], "holes of each cavity"]
    as_found: Annotated[tuple[FoundFinding, ...], "what was found otherwise than surveyed"]
    rules: Annotated[tuple[Rule, ...], "rules followed besides those beside a figure"]
    conditions: Annotated[tuple[Condition, ...], "what is unmet"]
    ready: Annotated[bool, "whether nothing is"]


def assess(
    *,
    cavities: tuple[Planned, ...],
    hold_points: tuple[HoldPoint, ...],
    ledger: Ledger,
    material: Material,
    practice: Practice,
) -> Assessment:
    """Assess a job by its ledger, in the order of what happened (`Ledger.in_order`).

    Its entries all fit the plan (`entry_faults.faults`).
    """
    quoted, told = cavities, by_part(ledger.of(Found))
    cavities = _as_found(quoted, told, material, practice)
    ledger = _with_sizes(ledger, cavities, practice)
    basis = basis_of(ledger=ledger, material=material, practice=practice)
    evidence = gathered(cavities=cavities, said=said(ledger=ledger), basis=basis)
    findings = cavity_findings(cavities=cavities, found=evidence, checks=ledger.of(DepthCheck), basis=basis)
    fills, swept = ledger.fills, ledger.of(Reclaimed)
    stock = reconciliations(deliveries=ledger.of(Delivery), fills=fills, basis=basis)
    answered = _answered(hold_points, cavities, practice, ledger)
    holes = holes_findings(cavities=cavities, ledger=ledger, practice=practice)
    conditions = (
        *_of_cavities(cavities, findings, holes, material, practice),
        *hold_point_conditions(findings=answered),
        *ledger_conditions(ledger=ledger, materials=basis.materials, repeated=evidence.repeated),
        *stock_conditions(stocks=stock),
        *_of_figures(cavities, findings, hold_points, material, practice),
    )
    parts = found_findings(quoted=quoted, found=cavities, entries=told, material=material, practice=practice)
    return Assessment(
        cavities=findings,
        mass_kg=evidence.in_walls.value,
        expanded_u_mass_kg=evidence.in_walls.expanded_u,
        bag_masses=bag_masses(
            ledger=ledger,
            materials=basis.materials,
            material=material,
            errors=practice.uncertainties.weighing,
        ),
        stock=stock,
        whereabouts=whereabouts(fills=fills, reclaimed=swept, found=evidence, basis=basis),
        hold_points=answered,
        holes=holes,
        as_found=_where_filled(parts, findings),
        rules=footnotes(cavities=findings),
        conditions=conditions,
        ready=not conditions,
    )


def _as_found(
    quoted: tuple[Planned, ...], told: dict[str, tuple[Found, ...]], material: Material, practice: Practice
) -> tuple[Planned, ...]:
    return tuple(
        as_found(planned=each, found=told.get(each.cavity.label, ()), material=material, practice=practice)
        for each in quoted
    )


def _answered(
    hold_points: tuple[HoldPoint, ...], cavities: tuple[Planned, ...], practice: Practice, ledger: Ledger
) -> tuple[HoldPointFinding, ...]:
    surveyed = tuple(each.cavity for each in cavities)
    return hold_point_findings(hold_points=hold_points, cavities=surveyed, practice=practice, ledger=ledger)


def _where_filled(
    parts: tuple[FoundFinding, ...], findings: tuple[CavityFinding, ...]
) -> tuple[FoundFinding, ...]:
    """What was found, without R and U where nothing insulates yet."""
    return tuple(
        part if finding.mass_kg is not None else replace(part, r_fill=None, u_value_w_m2k=None, thermal=None)
        for part, finding in zip(parts, findings, strict=True)
    )


def _of_cavities(
    cavities: tuple[Planned, ...],
    findings: tuple[CavityFinding, ...],
    holes: tuple[HolesFinding, ...],
    material: Material,
    practice: Practice,
) -> Iterator[Condition]:
    for planned, finding, made in zip(cavities, findings, holes, strict=True):
        yield from agreement_conditions(planned=planned)
        yield from fill_conditions(finding=finding, nothing_to_fill=not planned.compartments)
        yield from hole_conditions(finding=made, largest=_largest(planned), patching=practice.patching)
        for space in finding.compartments:
            if planned.density:
                yield from density_conditions(
                    planned=planned, window=planned.density, finding=space, practice=practice
                )
        if finding.open_blow:
            yield from open_blow_conditions(
                cavity=finding.label, finding=finding.open_blow, decision=practice.decision
            )
        yield from loading_conditions(planned=planned, finding=finding, material=material)


def _of_figures(
    cavities: tuple[Planned, ...],
    findings: tuple[CavityFinding, ...],
    hold_points: tuple[HoldPoint, ...],
    material: Material,
    practice: Practice,
) -> Iterator[Condition]:
    """What decides and nobody vouches for; a bulge that was measured among it."""
    lacking = undeclared(
        practice=practice,
        material=material,
        cavities=(each.cavity for each in cavities),
        hold_points=hold_points,
        bulge_read=[
            each.label for each in findings if any(space.bulge_measured for space in each.compartments)
        ],
    )
    return undeclared_conditions(lacking=lacking, cavities=len(cavities))


def _largest(planned: Planned) -> tuple[float | None, float | None]:
    """Breadth and height in mm of the largest planned hole."""
    holes = planned.hole_list
    return (
        max((hole.width_mm for hole in holes), default=None),
        max((hole.height_mm for hole in holes), default=None),
    )


def _with_sizes(ledger: Ledger, cavities: tuple[Planned, ...], practice: Practice) -> Ledger:
    """Cores as they were cut: of the firm's tool and as long as the cavity is deep, unless they say else."""
    depths = {each.cavity.label: each.cavity.depth_mm for each in cavities}
    tool_mm = practice.sampling.core_diameter_mm
    return Ledger(
        entries=tuple(
            replace(
                each,
                diameter_mm=each.diameter_mm or tool_mm,
                length_mm=each.length_mm or depths[each.cavity],
            )
            if isinstance(each, Core)
            else each
            for each in ledger.entries
        )
    )
