"""What was found of a dense fill: the density of each compartment, by mass balance and by samples."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.messages import Message
from service.engine.ground.shapes import CubicMetres, Kilograms, Millimetres
from service.engine.ground.uncertainty import Measured, Scatter
from service.engine.ground.vocabulary import FoundBy, Proof, Verdict
from service.engine.plan.density import Window
from service.engine.plan.kilograms import UNSEEN
from service.engine.plan.sampling import samples_needed
from service.engine.site.conformity import COMBINATION, Achieved, achieved, combined, normalised_error, worst
from service.engine.site.entries import Fill
from service.engine.site.evidence import Evidence
from service.engine.site.mass_balance import MASS_BALANCE, Room, density
from service.engine.site.planned import BalancedSpace
from service.engine.site.samples import (
    SAMPLE_DENSITY,
    BayFinding,
    SampleFinding,
    bay_finding,
    mean_of_bays,
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
    """The bays of one mass balance.

    `mass_balance` and `by_samples` are there as far as there is evidence. Where both
    are, `normalised_error` compares them and `achieved` combines them if they agree; if
    they do not it is None where the firm works by that rule, else the worse of the two.
    `samples_needed` and `sampled` count bays; `last_bay` is the bay filled last, where
    that is recorded and a plan asks for it. `unfilled` are bays that no fill names although
    they are closed off from all that some fill does. `proof` is the proof that was given.
    """

    label: Annotated[str, "label of the compartment"]
    cavity: Annotated[str, "label of the cavity"]
    bays: Annotated[tuple[int, ...], "its bays"]
    shared: Annotated[bool, "whether several bays lie in it, none of which is known by kilograms"]
    net_volume_m3: Annotated[CubicMetres, "net volume"]
    expanded_u_net_volume_m3: Annotated[CubicMetres, "its expanded uncertainty, k = 2"]
    bulge_mm: Annotated[Millimetres, "bulge of the facing at mid-bay"]
    bulge_measured: Annotated[bool, "whether somebody measured it"]
    bulge_volume_m3: Annotated[CubicMetres, "volume that the bulge adds"]
    mass_kg: Annotated[Kilograms | None, "mass in the walls; none without a fill"]
    expanded_u_mass_kg: Annotated[Kilograms | None, "its expanded uncertainty, k = 2"]
    mass_balance: Annotated[Achieved | None, "density by kilograms over volume"]
    by_samples: Annotated[Achieved | None, "density by samples"]
    samples: Annotated[tuple[SampleFinding, ...], "samples of its bays"]
    bay_findings: Annotated[tuple[BayFinding, ...], "what the samples of each bay say together"]
    samples_needed: Annotated[int, "bays to sample by the plan of the firm"]
    sampled: Annotated[int, "bays whose samples count"]
    last_bay: Annotated[int | None, "bay filled last, where that is known and asked for"]
    last_bay_sampled: Annotated[bool, "whether it is sampled"]
    normalised_error: Annotated[
        float | None, "disagreement of mass balance and samples; above 1 they contradict each other"
    ]
    achieved: Annotated[Achieved | None, "the density that counts"]
    verdict: Annotated[Verdict | None, "verdict by the decision rule"]
    proof: Annotated[Proof | None, "proof that was given"]
    note: Annotated[Message | None, "what to know about it"]
    unfilled: Annotated[tuple[int, ...], "bays without a fill that are closed off from all that were filled"]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Results:
    """What is known of one density: by each way, and of both together."""

    balance: Measured | None
    samples: Measured | None
    error: float | None
    agreed: Measured | None
    how: FoundBy


def dense_findings(
    *,
    evidence: tuple[Evidence, ...],
    rooms: tuple[Room, ...],
    window: Window,
    scatter: Scatter,
    practice: Practice,
) -> tuple[CompartmentFinding, ...]:
    """A cavity's compartments, each by its own evidence; `scatter` is that of the job's like bays."""
    spaces = zip(evidence, rooms, strict=True)
    return tuple(_compartment(each, of, window, scatter, practice) for each, of in spaces)


def _compartment(
    of: Evidence, found: Room, window: Window, scatter: Scatter, practice: Practice
) -> CompartmentFinding:
    space, mass, cavity, sampled = of.space, of.mass, of.planned.cavity, of.bays
    results = _results(density(masses=(mass,), rooms=(found,)) if mass else None, sampled, space, scatter)
    balance = _judged(results.balance, FoundBy.MASS_BALANCE, window, practice)
    mean = _judged(results.samples, FoundBy.SAMPLE, window, practice)
    whole = _judged(results.agreed, results.how, window, practice)
    if whole is None and not practice.decision.contradiction_decides:
        whole = _worse(balance, mean)
    last_bay = of.last_bay if space.shared and practice.sampling.last_bay else None
    findings = _samples(of, window)
    bays = tuple(_bay(bay, known, findings, window) for bay, known in sampled.items())
    return CompartmentFinding(
        label=space.label,
        cavity=cavity.label,
        bays=space.bays,
        shared=space.shared,
        net_volume_m3=found.net.value,
        expanded_u_net_volume_m3=found.net.expanded_u,
        bulge_mm=found.bulge.bulge_mm,
        bulge_measured=found.bulge.measured,
        bulge_volume_m3=found.extra.value,
        mass_kg=mass.value if mass else None,
        expanded_u_mass_kg=mass.expanded_u if mass else None,
        mass_balance=balance,
        by_samples=mean,
        samples=findings,
        bay_findings=bays,
        samples_needed=_samples_needed(space, practice),
        sampled=len(sampled),
        last_bay=last_bay,
        last_bay_sampled=last_bay in sampled,
        normalised_error=results.error,
        achieved=whole,
        verdict=_verdict(space, balance, mean, whole, bays),
        proof=_proof(space, mass, mean),
        note=space.note,
        unfilled=_unfilled(space, of.fills),
    )


def _samples_needed(space: BalancedSpace, practice: Practice) -> int:
    return samples_needed(bays=len(space.bays), sampling=practice.sampling) if space.shared else 0


def _results(
    balance: Measured | None, sampled: Mapping[int, Measured], space: BalancedSpace, scatter: Scatter
) -> _Results:
    """The density by mass balance, by samples, and the one that both stand for."""
    samples = None
    if sampled:
        samples = mean_of_bays(sampled=tuple(sampled.values()), bays=len(space.bays), scatter=scatter)
    if balance is None or samples is None:
        how = FoundBy.MASS_BALANCE if balance else FoundBy.SAMPLE
        return _Results(balance=balance, samples=samples, error=None, agreed=balance or samples, how=how)
    if not balance.u:
        return _Results(balance=balance, samples=samples, error=None, agreed=None, how=FoundBy.COMBINED)
    error = normalised_error(one=balance, other=samples)
    agreed = combined(results=(balance, samples)) if error <= CONTRADICTION else None
    return _Results(balance=balance, samples=samples, error=error, agreed=agreed, how=FoundBy.COMBINED)


def _unfilled(space: BalancedSpace, fills: tuple[Fill, ...]) -> tuple[int, ...]:
    named = {fill.bay for fill in fills}
    if not named or None in named:
        return ()
    return tuple(bay for bays in space.apart if named.isdisjoint(bays) for bay in bays)


def _samples(of: Evidence, window: Window) -> tuple[SampleFinding, ...]:
    return tuple(
        sample_finding(
            sample=each.sample,
            bay=each.bay,
            density=each.density,
            superseded=each.superseded,
            window=window,
        )
        for each in of.samples
    )


def _bay(bay: int, known: Measured, findings: tuple[SampleFinding, ...], window: Window) -> BayFinding:
    counting = tuple(each for each in findings if each.bay == bay and not each.superseded)
    return bay_finding(bay=bay, density=known, findings=counting, window=window)


def _judged(known: Measured | None, how: FoundBy, window: Window, practice: Practice) -> Achieved | None:
    if known is None:
        return None
    return achieved(
        density=known, how=how, formula=FORMULA_OF[how], window=window, decision=practice.decision
    )


def _worse(balance: Achieved | None, mean: Achieved | None) -> Achieved | None:
    """Of two results that are not combined the one with the worse verdict, of equal ones the balance."""
    if balance is None or mean is None:
        return balance or mean
    return mean if worst((balance.verdict, mean.verdict)) is not balance.verdict else balance


def _verdict(
    space: BalancedSpace,
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


def _proof(space: BalancedSpace, mass: Measured | None, mean: Achieved | None) -> Proof | None:
    """The proof that was given of a space's density, as far as there is one."""
    if mean and not space.shared:
        return Proof.CORE_IN_EACH_BAY
    if not mass or (space.noted_together and not mean):
        return None
    unseen = any(share.name == UNSEEN and abs(share.u) > 1e-12 for share in mass.shares)
    if space.noted_together:
        return Proof.NOTED_TOGETHER_AND_SAMPLED if unseen else Proof.NOTED_TOGETHER_RUN_EMPTY_AND_SAMPLED
    return Proof.BAGS if unseen else Proof.RUN_EMPTY_OR_WEIGHED
