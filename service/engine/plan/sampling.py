"""How many bays are sampled, and which: decided before filling begins, by the firm's declared plan."""

from collections.abc import Iterable, Iterator
from math import ceil

from service.engine.geometry.compartments import Compartment
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Proof, Standing
from service.engine.survey.practice import Sampling

NOTED_TOGETHER = (Proof.NOTED_TOGETHER_AND_SAMPLED, Proof.NOTED_TOGETHER_RUN_EMPTY_AND_SAMPLED)
SAMPLING_PLAN = Formula(
    code="sampling_plan",
    expression="count x sum(min(bays, max(at_least, ceil(bays/one_in_bays))))",
    source="practice profile",
    standing=Standing.DECLARED,
)


def samples_needed(*, bays: int, sampling: Sampling) -> int:
    """How many of the bays of a shared compartment have to be sampled (SAMPLING_PLAN)."""
    return min(bays, max(sampling.at_least, ceil(bays / sampling.one_in_bays)))


def sampled_together(*, compartments: Iterable[Compartment], proof: Proof) -> tuple[tuple[int, ...], ...]:
    """The bays that a proof samples, as groups of which each is sampled by the firm's plan.

    Kilograms never tell a bay of a shared compartment: by the plan some of those are sampled
    whatever the proof. Bays that are noted together are sampled as one such.
    """
    compartments = tuple(compartments)
    closed = tuple(sorted({bay for each in compartments if not each.shared for bay in each.bays}))
    shared = tuple([each.bays for each in compartments if each.shared])
    if proof is Proof.CORE_IN_EACH_BAY:
        return (*shared, *((bay,) for bay in closed))
    return (*shared, closed) if closed and proof in NOTED_TOGETHER else shared


def sampled_bays(*, groups: Iterable[tuple[int, ...]], sampling: Sampling) -> tuple[int, ...]:
    """Which bays of one cavity to sample, evenly spread, the last one of each group among them."""
    return tuple(sorted({bay for bays in groups for bay in _spread(bays, sampling)}))


def _spread(bays: tuple[int, ...], sampling: Sampling) -> Iterator[int]:
    needed = samples_needed(bays=len(bays), sampling=sampling)
    return (bays[len(bays) * (number + 1) // needed - 1] for number in range(needed))
