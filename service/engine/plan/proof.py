"""Which proof of its density can suffice for each compartment, said before filling begins.

Half a bag too much or too little is nothing in an attic and everything in a bay of a
quarter of a cubic metre. A proof suffices where the target lies far enough inside both
limits, measured by what that proof leaves uncertain: then a crew that blows as planned is
certified at the first try.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import fsum, hypot, pi
from typing import Annotated, NamedTuple

from service.engine.geometry.compartments import Compartment, bays_of, meeting
from service.engine.geometry.plane import Plane
from service.engine.geometry.sensitivity import Sensitivity
from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.known import Known
from service.engine.ground.messages import Message, message
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import KgPerM3
from service.engine.ground.uncertainty import Scatter, rectangular
from service.engine.ground.vocabulary import Proof, Standing
from service.engine.ground.working import Working
from service.engine.plan.density import Window
from service.engine.plan.kilograms import ByBags, by_bags
from service.engine.plan.sampling import NOTED_TOGETHER, sampled_bays, sampled_together, samples_needed
from service.engine.plan.volume import bulging, unsaid_bulge
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material, Practice

PROOF = Formula(
    code="proof",
    expression=(
        "margin_kg_m3 = min(target_kg_m3 - lowest_kg_m3, highest_kg_m3 - target_kg_m3); "
        "least_margin_kg_m3 = 3.3 x u_kg_m3"
    ),
    source="1.645 u of guard band on either side of what is true and of what is measured (JCGM 106)",
    standing=Standing.DERIVED,
)

FORMULAS = (PROOF,)

SURELY = 3.3
HOW = {proof: message(f"plan.prove_by_{proof.value}") for proof in Proof}
USUAL_CORE_MM = 75.0  # of a firm that has declared no tool yet: common practice
_ORDER = tuple(Proof)
_RANKS = {proof: rank for rank, proof in enumerate(Proof)}


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class ProofOption:
    """One proof of a compartment and how well it would know the density."""

    proof: Annotated[Proof, "the proof"]
    u_kg_m3: Annotated[KgPerM3, "standard uncertainty of the density by it, filled as planned"]
    suffices: Annotated[bool, "whether the target lies 3.3 of these inside both limits"]


_proof_option = maker(ProofOption)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class CompartmentProof:
    """What can prove a compartment's density, cheapest first."""

    label: Annotated[str, "label of the compartment"]
    bays: Annotated[tuple[int, ...], "its bays"]
    options: Annotated[tuple[ProofOption, ...], "proofs, cheapest first"]


_compartment_proof = maker(CompartmentProof)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class ProofPlan:
    """How the density of a cavity is proven.

    `chosen` is the cheapest proof that suffices for each of its compartments; where none
    does, the one that knows the worst of them best, and `suffices` is false.
    """

    chosen: Annotated[Proof, "the cheapest proof that suffices for every compartment"]
    suffices: Annotated[bool, "whether it does; else it is the best there is"]
    margin_kg_m3: Annotated[KgPerM3, "how far the target lies inside the nearer limit"]
    how: Annotated[Message, "what a crew does for it"]
    samples: Annotated[int, "samples by it; where spaces lie one over the other in a bay, of each"]
    sampled_bays: Annotated[tuple[int, ...], "which bays to sample, evenly spread, the last among them"]
    compartments: Annotated[tuple[CompartmentProof, ...], "what can prove each compartment"]
    provenance: Annotated[Provenance, "the rule that a proof must meet"] = PROOF.provenance


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampled:
    """The groups of bays that the chosen proof samples, for who asks how the samples came about."""

    groups: tuple[tuple[int, ...], ...]


def proof_plan(
    *,
    laid_out: Plane,
    compartments: tuple[Compartment, ...],
    facing_m2: Mapping[int, float],
    window: Window,
    material: Material,
    practice: Practice,
    working: Working | None = None,
    known: Known | None = None,
) -> ProofPlan:
    """The proofs of a dense fill (PROOF), of one of the identical cavities.

    `facing_m2` is the area of the facing that is expected to bulge, by bay. `known` is handed
    on from cavity to cavity of the same material and practice.
    """
    cavity, target_kg_m3 = laid_out.cavity, window.target_kg_m3.value
    job = _Job(
        sensitivity=Sensitivity(laid_out=laid_out, errors=practice.uncertainties.survey),
        facing_m2=facing_m2,
        target_kg_m3=target_kg_m3,
        margin_kg_m3=_margin(window),
        practice=practice,
        core_u_kg_m3=_core_u_kg_m3(cavity, target_kg_m3, practice),
        means=(known or Known()).of(("proofs", cavity.facing), lambda: _means(cavity, material, practice)),
    )
    spaces = dict(_balanced(compartments))
    together = _together(job, frozenset(spaces.values()))
    rows = tuple(_rows(job, compartments, spaces, together))
    enough = _enough({id(row.options): row.options for row in rows}.values())
    chosen = enough or _best(rows)
    groups = sampled_together(compartments=compartments, proof=chosen)
    if working:
        working.keep(Sampled(groups=groups))
    return ProofPlan(
        chosen=chosen,
        suffices=enough is not None,
        margin_kg_m3=job.margin_kg_m3,
        how=HOW[chosen],
        samples=sum([samples_needed(bays=len(each), sampling=practice.sampling) for each in groups]),
        sampled_bays=sampled_bays(groups=groups, sampling=practice.sampling),
        compartments=rows,
    )


def _enough(kinds: Iterable[tuple[ProofOption, ...]]) -> Proof | None:
    """The cheapest proof that suffices for each kind of compartment, or includes one that does."""
    cheapest = [[_RANKS[each.proof] for each in options if each.suffices] for options in kinds]
    return _ORDER[max(map(min, cheapest))] if all(cheapest) else None


def _best(rows: tuple[CompartmentProof, ...]) -> Proof:
    """The proof that knows best the compartment that is known worst."""
    worst = max(rows, key=lambda row: min(each.u_kg_m3 for each in row.options))
    return min(worst.options, key=lambda each: each.u_kg_m3).proof


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class _Job:
    """What every compartment's proofs are reckoned with."""

    sensitivity: Sensitivity
    facing_m2: Mapping[int, float]
    target_kg_m3: float
    margin_kg_m3: float
    practice: Practice
    core_u_kg_m3: float
    means: "_Means"


class _Means(NamedTuple):
    """What proofs are made with whatever the cavity: the bulge of a m2 of facing, and bags."""

    bulge_m: float
    bulge_u_m: float
    unseen: ByBags
    emptied: ByBags


def _means(cavity: Cavity, material: Material, practice: Practice) -> _Means:
    bag_kg, errors = material.bag_kg, practice.uncertainties.weighing
    bulge = bulging(facing_m2=1.0, bulge=unsaid_bulge(cavity=cavity, practice=practice))
    return _Means(
        bulge_m=bulge.value,
        bulge_u_m=bulge.u,
        unseen=by_bags(bag_kg=bag_kg, errors=errors, unseen_ends=True),
        emptied=by_bags(bag_kg=bag_kg, errors=errors, unseen_ends=False),
    )


class _Space(NamedTuple):
    """Compartments that are balanced as one, because fills name a bay and not a part of it."""

    bays: tuple[int, ...]
    net_volume_m3: float

    @property
    def shared(self) -> bool:
        return len(self.bays) > 1


def _balanced(compartments: tuple[Compartment, ...]) -> Iterator[tuple[str, _Space]]:
    """What each compartment is balanced with, by its label."""
    for group in meeting(compartments=compartments):
        first, *others = group
        space = _Space(first.bays, first.net_volume_m3)
        if others:
            space = _Space(bays_of(compartments=group), sum([each.net_volume_m3 for each in group]))
        for each in group:
            yield each.label, space


def _rows(
    job: _Job,
    compartments: tuple[Compartment, ...],
    spaces: Mapping[str, _Space],
    together: tuple[ProofOption, ...],
) -> Iterator[CompartmentProof]:
    """What can prove each compartment; what is the same of many is worked out once."""
    known: dict[tuple[float, int], tuple[ProofOption, ...]] = {}
    for each in compartments:
        space = spaces[each.label]
        alike = round(space.net_volume_m3, 6), len(space.bays)
        options = known.get(alike)
        if options is None:
            options = known[alike] = tuple(_options(job, space, together))
        yield _compartment_proof(label=each.label, bays=each.bays, options=options)


def _options(job: _Job, space: _Space, together: tuple[ProofOption, ...]) -> Iterator[ProofOption]:
    volume = _volume(job, space.bays, space.net_volume_m3)
    samples_u = _samples_u(job, len(space.bays)) if space.shared else None
    for proof, ends in ((Proof.BAGS, job.means.unseen), (Proof.RUN_EMPTY_OR_WEIGHED, job.means.emptied)):
        yield _option(job, proof, _balance_u(job, *volume, ends), samples_u)
    if not space.shared:
        yield from together
        yield _option(job, Proof.CORE_IN_EACH_BAY, job.core_u_kg_m3)


def _together(job: _Job, spaces: frozenset[_Space]) -> tuple[ProofOption, ...]:
    """All bays of the cavity that are closed off, noted in one sum and sampled: of their mean."""
    if len(spaces) < 2 or any(each.shared for each in spaces):
        return ()
    bays = frozenset([bay for each in spaces for bay in each.bays])
    volume = _volume(job, bays, fsum([each.net_volume_m3 for each in spaces]))
    samples_u = _samples_u(job, len(bays))
    ends = zip(NOTED_TOGETHER, (job.means.unseen, job.means.emptied), strict=True)
    return tuple([_option(job, proof, _balance_u(job, *volume, by), samples_u) for proof, by in ends])


def _option(job: _Job, proof: Proof, density_u: float, samples_u: float | None = None) -> ProofOption:
    """How well a proof would know the density, combined with the samples that are taken anyhow."""
    u = density_u if samples_u is None else (density_u**-2 + samples_u**-2) ** -0.5
    return _proof_option(proof=proof, u_kg_m3=u, suffices=job.margin_kg_m3 >= SURELY * u)


def _margin(window: Window) -> float:
    target = window.target_kg_m3.value
    return min(target - window.lowest_kg_m3.value, window.highest_kg_m3.value - target)


def _samples_u(job: _Job, bays: int) -> float:
    """Standard uncertainty of the mean of several bays by the samples that the firm's plan takes of them."""
    taken = samples_needed(bays=bays, sampling=job.practice.sampling)
    scatter = Scatter(s=job.practice.uncertainties.sample.between_bays_u_kg_m3)
    return hypot(job.core_u_kg_m3, scatter.of_mean(taken=taken, of=bays))


def _volume(job: _Job, bays: Collection[int], net_volume_m3: float) -> tuple[float, float]:
    """The volume that fill takes in the compartments of these bays, and its standard uncertainty, in m3."""
    u_m3 = job.sensitivity.u_m3(bays=bays)
    facing_m2 = sum([job.facing_m2.get(bay, 0.0) for bay in bays]) if job.facing_m2 else 0.0
    return net_volume_m3 + job.means.bulge_m * facing_m2, hypot(u_m3, job.means.bulge_u_m * facing_m2)


def _balance_u(job: _Job, volume_m3: float, volume_u_m3: float, by: ByBags) -> float:
    """Standard uncertainty of the density by mass balance of a space filled to its target amid a job."""
    mass_u_kg = by.u_kg(mass_kg=job.target_kg_m3 * volume_m3)
    return hypot(mass_u_kg, job.target_kg_m3 * volume_u_m3) / volume_m3


def _core_u_kg_m3(cavity: Cavity, target_kg_m3: float, practice: Practice) -> float:
    """Standard uncertainty of a bay's density by one core through its depth, as dense as the target."""
    errors, depth_mm = practice.uncertainties.sample, cavity.depth_mm
    diameter_mm = practice.sampling.core_diameter_mm or USUAL_CORE_MM
    volume_m3 = pi / 4 * diameter_mm**2 * depth_mm / 1e9
    return target_kg_m3 * hypot(
        2 * rectangular(half=errors.core_diameter_half_mm) / diameter_mm,
        rectangular(half=errors.core_length_half_mm) / depth_mm,
        errors.core_disturbance_rel_u,
        rectangular(half=errors.mass_half_g) / (target_kg_m3 * volume_m3 * 1000),
    )
