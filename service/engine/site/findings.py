"""What was found of each cavity."""

from dataclasses import dataclass
from typing import TypeVar

from service.engine.ground.vocabulary import Verdict
from service.engine.site.conformity import worst
from service.engine.site.dense import CompartmentFinding, dense_findings
from service.engine.site.entries import DepthCheck, Fill, Sample
from service.engine.site.ledger import Ledger
from service.engine.site.mass_balance import net_blown
from service.engine.site.open_finding import OpenBlowFinding, open_blow_finding
from service.engine.site.planned import Basis, Planned


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityFinding:
    """A cavity, all identical ones together: either `compartments` or an `open_blow`.

    `mass_kg` is None without a fill; `bags` is their number where every fill was
    counted. `verdict` is the worst of the parts, None as long as one has no evidence.
    """

    label: str
    mass_kg: float | None
    expanded_u_mass_kg: float | None
    bags: float | None
    compartments: tuple[CompartmentFinding, ...]
    open_blow: OpenBlowFinding | None
    verdict: Verdict | None


def cavity_findings(
    *, cavities: tuple[Planned, ...], ledger: Ledger, basis: Basis
) -> tuple[CavityFinding, ...]:
    """Every planned cavity by its own entries; the ledger is in order of recording."""
    fills, samples, checks = (
        _by_cavity(ledger.fills),
        _by_cavity(ledger.of(Sample)),
        _by_cavity(ledger.of(DepthCheck)),
    )
    return tuple(
        _cavity(
            planned,
            fills.get(planned.cavity.label, ()),
            samples.get(planned.cavity.label, ()),
            checks.get(planned.cavity.label, ()),
            basis,
        )
        for planned in cavities
    )


OfCavity = TypeVar("OfCavity", Fill, Sample, DepthCheck)


def _by_cavity(entries: tuple[OfCavity, ...]) -> dict[str, tuple[OfCavity, ...]]:
    found: dict[str, list[OfCavity]] = {}
    for entry in entries:
        found.setdefault(entry.cavity, []).append(entry)
    return {label: tuple(each) for label, each in found.items()}


def _cavity(
    planned: Planned,
    fills: tuple[Fill, ...],
    samples: tuple[Sample, ...],
    checks: tuple[DepthCheck, ...],
    basis: Basis,
) -> CavityFinding:
    mass = net_blown(fills=fills, basis=basis) if fills else None
    compartments: tuple[CompartmentFinding, ...] = ()
    open_blow = None
    if planned.density:
        compartments = dense_findings(
            planned=planned, window=planned.density, fills=fills, samples=samples, basis=basis
        )
    if planned.open_blow:
        open_blow = open_blow_finding(
            planned=planned, plan=planned.open_blow, fills=fills, checks=checks, basis=basis
        )
    counted = [fill.bags for fill in fills if fill.bags is not None]
    return CavityFinding(
        label=planned.cavity.label,
        mass_kg=mass.value if mass else None,
        expanded_u_mass_kg=mass.expanded_u if mass else None,
        bags=sum(counted) if fills and len(counted) == len(fills) else None,
        compartments=compartments,
        open_blow=open_blow,
        verdict=_verdict(compartments, open_blow),
    )


def _verdict(
    compartments: tuple[CompartmentFinding, ...], open_blow: OpenBlowFinding | None
) -> Verdict | None:
    if open_blow:
        return open_blow.verdict
    verdicts = [compartment.verdict for compartment in compartments]
    known = [verdict for verdict in verdicts if verdict]
    return worst(known) if known and len(known) == len(verdicts) else None
