"""What was found of a dense fill: the density of each compartment, by mass balance and by samples."""

from dataclasses import dataclass

from service.engine.geometry.compartments import Part, parts
from service.engine.ground.uncertainty import Measured, total
from service.engine.ground.vocabulary import FoundBy, Verdict
from service.engine.plan.density import Window
from service.engine.plan.sampling import samples_needed
from service.engine.site.conformity import COMBINATION, Achieved, achieved, combined, normalised_error, worst
from service.engine.site.entries import Fill, Sample
from service.engine.site.mass_balance import MASS_BALANCE, bulge, bulge_volume, net_blown, volume
from service.engine.site.planned import Basis, Planned, Space, spaces
from service.engine.site.samples import (
    SAMPLE_DENSITY,
    BayFinding,
    SampleFinding,
    bay_finding,
    mean_of_bays,
    sample_density,
    sample_finding,
)
from service.engine.survey.practice import Practice

CONTRADICTION = 1.0
FORMULA_OF = {
    FoundBy.MASS_BALANCE: MASS_BALANCE,
    FoundBy.SAMPLE: SAMPLE_DENSITY,
    FoundBy.COMBINED: COMBINATION,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class CompartmentFinding:
    """The bays of one mass balance; volumes and masses are of all identical cavities.

    `mass_balance` and `by_samples` are there as far as there is evidence; where
    both are, `normalised_error` compares them and `achieved` combines them, or is
    None where they contradict each other. `sampled` counts samples that count,
    `last_bay` is the bay filled last, where that is recorded and a plan asks for it.
    `unfilled` are bays that no fill names although they are closed off from all that some fill does.
    """

    label: str
    cavity: str
    bays: tuple[int, ...]
    shared: bool
    net_volume_m3: float
    expanded_u_net_volume_m3: float
    bulge_mm: float
    bulge_measured: bool
    bulge_volume_m3: float
    mass_kg: float | None
    expanded_u_mass_kg: float | None
    mass_balance: Achieved | None
    by_samples: Achieved | None
    samples: tuple[SampleFinding, ...]
    bay_findings: tuple[BayFinding, ...]
    samples_needed: int
    sampled: int
    last_bay: int | None
    last_bay_sampled: bool
    normalised_error: float | None
    achieved: Achieved | None
    verdict: Verdict | None
    note: str
    unfilled: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sampled:
    findings: tuple[SampleFinding, ...]
    bays: tuple[BayFinding, ...]
    density: Measured | None


def dense_findings(
    *,
    planned: Planned,
    window: Window,
    fills: tuple[Fill, ...],
    samples: tuple[Sample, ...],
    basis: Basis,
) -> tuple[CompartmentFinding, ...]:
    """A cavity's compartments by its own fills and samples, both in order of recording."""
    found = spaces(planned=planned, bays_named=all(fill.bay is not None for fill in fills))
    clear = parts(cavity=planned.cavity)
    return tuple(
        _compartment(
            planned,
            clear,
            window,
            space,
            tuple(fill for fill in fills if len(found) == 1 or fill.bay in space.bays),
            tuple(sample for sample in samples if len(found) == 1 or sample.bay in space.bays),
            basis,
        )
        for space in found
    )


def _compartment(
    planned: Planned,
    clear: tuple[Part, ...],
    window: Window,
    space: Space,
    fills: tuple[Fill, ...],
    samples: tuple[Sample, ...],
    basis: Basis,
) -> CompartmentFinding:
    practice, count = basis.practice, planned.cavity.count
    mass = net_blown(fills=fills, basis=basis) if fills else None
    facing = bulge(fills=fills, cavity=planned.cavity, practice=practice)
    net = volume(planned=planned, space=space, uncertainties=practice.uncertainties)
    extra = bulge_volume(planned=planned, space=space, bulge=facing, parts=clear)
    by_mass = mass.over(total((net, extra))) if mass else None
    sampled = _sampled(planned, window, fills, samples, practice)
    error, agreed, how = _together(by_mass, sampled.density)
    balance = _judged(by_mass, FoundBy.MASS_BALANCE, window, practice)
    mean = _judged(sampled.density, FoundBy.SAMPLE, window, practice)
    whole = _judged(agreed, how, window, practice)
    last_bay = _last_bay(fills) if space.shared and practice.sampling.last_bay else None
    return CompartmentFinding(
        label=space.label,
        cavity=planned.cavity.label,
        bays=space.bays,
        shared=space.shared,
        net_volume_m3=net.value,
        expanded_u_net_volume_m3=net.expanded_u,
        bulge_mm=facing.bulge_mm,
        bulge_measured=facing.measured,
        bulge_volume_m3=extra.value,
        mass_kg=mass.value if mass else None,
        expanded_u_mass_kg=mass.expanded_u if mass else None,
        mass_balance=balance,
        by_samples=mean,
        samples=sampled.findings,
        bay_findings=sampled.bays,
        samples_needed=_needed(space, practice) * count,
        sampled=sum(min(bay.samples, count) for bay in sampled.bays),
        last_bay=last_bay,
        last_bay_sampled=any(bay.bay == last_bay for bay in sampled.bays),
        normalised_error=error,
        achieved=whole,
        verdict=_verdict(space, balance, mean, whole, sampled.bays),
        note=space.note,
        unfilled=_unfilled(space, fills),
    )


def _unfilled(space: Space, fills: tuple[Fill, ...]) -> tuple[int, ...]:
    named = {fill.bay for fill in fills}
    if not named or None in named:
        return ()
    return tuple(bay for bays in space.apart if named.isdisjoint(bays) for bay in bays)


def _sampled(
    planned: Planned,
    window: Window,
    fills: tuple[Fill, ...],
    samples: tuple[Sample, ...],
    practice: Practice,
) -> _Sampled:
    """Samples one by one, by bay, and their mean; those of a bay filled again since do not count."""
    findings: list[SampleFinding] = []
    by_bay: dict[int, list[tuple[SampleFinding, Measured]]] = {}
    for sample in samples:
        bay = sample.bay or 1
        density = sample_density(sample=sample, uncertainties=practice.uncertainties)
        finding = sample_finding(
            sample=sample,
            bay=bay,
            density=density,
            superseded=_filled_since(planned, sample, bay, fills),
            window=window,
            decision=practice.decision,
        )
        findings.append(finding)
        if not finding.superseded:
            by_bay.setdefault(bay, []).append((finding, density))
    densities = {bay: combined(results=tuple(each for _, each in of_bay)) for bay, of_bay in by_bay.items()}
    bays = tuple(
        bay_finding(
            bay=bay,
            density=densities[bay],
            findings=tuple(finding for finding, _ in by_bay[bay]),
            window=window,
            decision=practice.decision,
        )
        for bay in sorted(by_bay)
    )
    mean = mean_of_bays(bays=tuple(densities[bay] for bay in sorted(by_bay))) if by_bay else None
    return _Sampled(findings=tuple(findings), bays=bays, density=mean)


def _filled_since(planned: Planned, sample: Sample, bay: int, fills: tuple[Fill, ...]) -> bool:
    """Of identical cavities nobody knows which one was filled: there a sample is never superseded."""
    only_bay = planned.geometry.bays == 1
    return planned.cavity.count == 1 and any(
        fill.at > sample.at for fill in fills if fill.bay == bay or (fill.bay is None and only_bay)
    )


def _together(
    by_mass: Measured | None, by_samples: Measured | None
) -> tuple[float | None, Measured | None, FoundBy]:
    """Normalised error, the density that both stand for, and how it is known."""
    if by_mass is None or by_samples is None:
        return None, by_mass or by_samples, FoundBy.MASS_BALANCE if by_mass else FoundBy.SAMPLE
    error = normalised_error(one=by_mass, other=by_samples)
    agreed = combined(results=(by_mass, by_samples)) if error <= CONTRADICTION else None
    return error, agreed, FoundBy.COMBINED


def _judged(density: Measured | None, how: FoundBy, window: Window, practice: Practice) -> Achieved | None:
    if density is None:
        return None
    return achieved(
        density=density, how=how, formula=FORMULA_OF[how], window=window, decision=practice.decision
    )


def _last_bay(fills: tuple[Fill, ...]) -> int | None:
    blown_in = [fill for fill in fills if fill.mass_kg or fill.bags]
    return blown_in[-1].bay or blown_in[-1].last_bay if blown_in else None


def _needed(space: Space, practice: Practice) -> int:
    return samples_needed(bays=len(space.bays), sampling=practice.sampling) if space.shared else 0


def _verdict(
    space: Space,
    balance: Achieved | None,
    mean: Achieved | None,
    agreed: Achieved | None,
    bays: tuple[BayFinding, ...],
) -> Verdict | None:
    """The worst of the whole and of its bays; contradicting results count where both say the same."""
    verdicts = [bay.verdict for bay in bays if space.shared or bay.gives_way]
    if agreed:
        verdicts.append(agreed.verdict)
    elif balance and mean:
        verdicts.append(balance.verdict if balance.verdict is mean.verdict else Verdict.INCONCLUSIVE)
    return worst(verdicts) if verdicts else None
