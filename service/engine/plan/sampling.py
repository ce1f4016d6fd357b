"""How many bays are sampled: decided before filling begins, by the firm's declared plan."""

from math import ceil

from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing
from service.engine.survey.practice import Sampling

SAMPLING_PLAN = Formula(
    code="sampling_plan",
    expression="count x sum(min(bays, max(at_least, ceil(bays/one_in_bays))))",
    source="practice profile",
    standing=Standing.DECLARED,
)


def samples_needed(*, bays: int, sampling: Sampling) -> int:
    """How many of the bays of a shared compartment have to be sampled (SAMPLING_PLAN)."""
    return min(bays, max(sampling.at_least, ceil(bays / sampling.one_in_bays)))
