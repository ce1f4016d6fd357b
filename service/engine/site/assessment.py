"""The assessment of a job: what its ledger shows, and what still stands in the way of a certificate.

The same ledger always gives the same assessment, whatever the order of its entries.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from service.engine.ground.formula import Rule
from service.engine.plan.hold_points import HoldPoint
from service.engine.site.bag_mass import BagMass, bag_mass, mean_bag, spread_kg
from service.engine.site.conditions import (
    Condition,
    fill_conditions,
    hold_point_conditions,
    open_blow_conditions,
    stock_conditions,
)
from service.engine.site.density_conditions import density_conditions, loading_conditions
from service.engine.site.findings import (
    CavityFinding,
    PenetrationFinding,
    cavity_findings,
    penetration_findings,
)
from service.engine.site.footnotes import footnotes
from service.engine.site.hold_point_findings import HoldPointFinding, hold_point_findings
from service.engine.site.ledger import Ledger
from service.engine.site.mass_balance import net_blown
from service.engine.site.opening_conditions import patch_conditions, penetration_conditions
from service.engine.site.planned import Basis, Planned
from service.engine.site.stock import StockFinding, reconciliation
from service.engine.survey.practice import Material, Practice

__all__ = ["Assessment", "Condition", "Planned", "assess"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """What was found. `mass_kg` is the job's, with what its fills have in common (k = 2).

    `rules` are those that it follows besides the ones that stand beside its figures.
    `ready`: no condition is unmet.
    """

    cavities: tuple[CavityFinding, ...]
    mass_kg: float
    expanded_u_mass_kg: float
    bag_mass: BagMass
    stock: StockFinding | None
    hold_points: tuple[HoldPointFinding, ...]
    penetrations: tuple[PenetrationFinding, ...]
    rules: tuple[Rule, ...]
    conditions: tuple[Condition, ...]
    ready: bool


def assess(
    *,
    cavities: tuple[Planned, ...],
    hold_points: tuple[HoldPoint, ...],
    ledger: Ledger,
    material: Material,
    practice: Practice,
) -> Assessment:
    """Assess a job by its ledger, whose entries all fit the plan (`entry_faults.faults`)."""
    ledger = ledger.in_order()
    basis = _basis(ledger, material, practice)
    blown = net_blown(fills=ledger.fills, basis=basis)
    findings = cavity_findings(cavities=cavities, ledger=ledger, basis=basis)
    stock = reconciliation(
        stocks=ledger.stocks, blown=blown, bag=basis.bag, uncertainties=practice.uncertainties
    )
    answered = hold_point_findings(
        hold_points=hold_points,
        cavities=tuple(each.cavity for each in cavities),
        practice=practice,
        ledger=ledger,
    )
    penetrations = penetration_findings(ledger=ledger)
    conditions = (
        *_of_cavities(cavities, findings, penetrations, material, practice),
        *_of_patches(ledger, penetrations, practice),
        *hold_point_conditions(findings=answered),
        *stock_conditions(stock=stock),
    )
    return Assessment(
        cavities=findings,
        mass_kg=blown.value,
        expanded_u_mass_kg=blown.expanded_u,
        bag_mass=bag_mass(checks=ledger.bag_checks, material=material, uncertainties=practice.uncertainties),
        stock=stock,
        hold_points=answered,
        penetrations=penetrations,
        rules=footnotes(cavities=findings),
        conditions=conditions,
        ready=not conditions,
    )


def _basis(ledger: Ledger, material: Material, practice: Practice) -> Basis:
    return Basis(
        bag=mean_bag(checks=ledger.bag_checks, material=material, uncertainties=practice.uncertainties),
        spread_kg=spread_kg(checks=ledger.bag_checks),
        practice=practice,
    )


def _of_cavities(
    cavities: tuple[Planned, ...],
    findings: tuple[CavityFinding, ...],
    penetrations: tuple[PenetrationFinding, ...],
    material: Material,
    practice: Practice,
) -> Iterator[Condition]:
    for planned, finding in zip(cavities, findings, strict=True):
        yield from fill_conditions(finding=finding)
        yield from penetration_conditions(planned=planned, finding=finding, penetrations=penetrations)
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


def _of_patches(
    ledger: Ledger, penetrations: tuple[PenetrationFinding, ...], practice: Practice
) -> Iterator[Condition]:
    tags = {penetration.tag for penetration in ledger.penetrations}
    strays = tuple(patch for patch in ledger.patches if patch.tag not in tags)
    return patch_conditions(penetrations=penetrations, strays=strays, patching=practice.patching)
