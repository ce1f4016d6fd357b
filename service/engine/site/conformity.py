"""Conformity of a measured value with its limits (JCGM 106), and of two values with each other."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import erfc, hypot, sqrt
from statistics import NormalDist
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.shapes import KgPerM3, Probability
from service.engine.ground.uncertainty import Contribution, Measured, budget, total
from service.engine.ground.vocabulary import FoundBy, Standing, Verdict
from service.engine.plan.density import Window
from service.engine.survey.practice import Decision

CONFORMITY = Formula(
    code="conformity",
    expression="P = Phi((highest - value)/u) - Phi((lowest - value)/u), without a term for a limit not given",
    source="JCGM 106:2012, clause 7 (clause from memory)",
    standing=Standing.SECOND_HAND,
)
DECISION_RULE = Formula(
    code="decision_rule",
    expression=(
        "conforming where P >= conforming_from; non_conforming where the probability of keeping to either "
        "limit alone <= non_conforming_to; else inconclusive"
    ),
    source="practice profile; JCGM 106:2012, clause 8 (clause from memory)",
    standing=Standing.DECLARED,
)
NORMALISED_ERROR = Formula(
    code="normalised_error",
    expression="|value1 - value2| / sqrt(U1^2 + U2^2), above 1 a contradiction",
    source="the usual comparison of two results, as in ISO/IEC 17043 (from memory)",
    standing=Standing.FROM_MEMORY,
)
COMBINATION = Formula(
    code="combination",
    expression="sum(value/u^2) / sum(1/u^2)",
    source="weighted mean of independent results",
    standing=Standing.DERIVED,
)

FORMULAS = (CONFORMITY, DECISION_RULE, NORMALISED_ERROR, COMBINATION)


@dataclass(frozen=True, slots=True, kw_only=True)
class Achieved:
    """A density as built, in kg/m3, against its window.

    `expanded_u_kg_m3` has k = 2. `probability` is that of lying in the window,
    `highest_probability` the most that any density known this well could have.
    """

    density_kg_m3: Annotated[KgPerM3, "density"]
    u_kg_m3: Annotated[KgPerM3, "its standard uncertainty"]
    expanded_u_kg_m3: Annotated[KgPerM3, "its expanded uncertainty, k = 2"]
    budget: Annotated[tuple[Contribution, ...], "what adds to the uncertainty, the largest first"]
    how: Annotated[FoundBy, "how the density is known"]
    probability: Annotated[Probability, "probability of conformity"]
    highest_probability: Annotated[Probability, "the most that any density known this well could have"]
    verdict: Annotated[Verdict, "verdict by the decision rule"]
    provenance: Annotated[Provenance, "where the figure comes from"]


def achieved(
    *, density: Measured, how: FoundBy, formula: Formula, window: Window, decision: Decision
) -> Achieved:
    """A density, found with `formula`, judged by its window and the decision rule."""
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
    value, u = density.value, density.u
    return Achieved(
        density_kg_m3=value,
        u_kg_m3=u,
        expanded_u_kg_m3=density.expanded_u,
        budget=budget(density=density),
        how=how,
        probability=probability(value=value, u=u, lowest=lowest, highest=highest),
        highest_probability=highest_probability(u=u, lowest=lowest, highest=highest),
        verdict=verdict(value=value, u=u, decision=decision, lowest=lowest, highest=highest),
        provenance=formula.provenance,
    )


def probability(
    *, value: float, u: float, lowest: float | None = None, highest: float | None = None
) -> float:
    """The probability that what was measured lies within its limits (CONFORMITY).

    `u` is the standard uncertainty, in the unit of `value`. A value without
    uncertainty lies there, limits included, or does not: 1 or 0.
    """
    if not u:
        return float((lowest is None or lowest <= value) and (highest is None or value <= highest))
    up_to_highest = 1.0 if highest is None else _normal(highest, value, u)
    up_to_lowest = 0.0 if lowest is None else _normal(lowest, value, u)
    return up_to_highest - up_to_lowest


def highest_probability(*, u: float, lowest: float, highest: float) -> float:
    """The probability in the middle of a window: no value with this uncertainty has a higher one."""
    return probability(value=(lowest + highest) / 2, u=u, lowest=lowest, highest=highest)


def verdict(
    *, value: float, u: float, decision: Decision, lowest: float | None = None, highest: float | None = None
) -> Verdict:
    """The verdict by the decision rule (DECISION_RULE); its two thresholds themselves decide.

    A value is refused only where it is shown to break one of its limits. So little
    may be known that it is likely to lie outside a narrow window wherever its
    middle is; that is no reason to refuse it, but to find out more.
    """
    if probability(value=value, u=u, lowest=lowest, highest=highest) >= decision.conforming_from:
        return Verdict.CONFORMING
    kept = (probability(value=value, u=u, lowest=lowest), probability(value=value, u=u, highest=highest))
    return Verdict.NON_CONFORMING if min(kept) <= decision.non_conforming_to else Verdict.INCONCLUSIVE


def value_verdict(*, value: float, lowest: float, highest: float) -> Verdict:
    """Whether a value by itself lies within its limits, whatever its uncertainty: the risk is shared."""
    return Verdict.CONFORMING if lowest <= value <= highest else Verdict.NON_CONFORMING


def guarded(*, required: float, u: float, decision: Decision) -> float:
    """What to aim at above a lower limit: the limit and the firm's guard band (JCGM 106, clause 8).

    Never less than what conforms by the decision rule.
    """
    return required + max(decision.guard_factor, NormalDist().inv_cdf(decision.conforming_from)) * u


def normalised_error(*, one: Measured, other: Measured) -> float:
    """How far two results of one thing, not both of them exact, disagree (NORMALISED_ERROR)."""
    return abs(one.value - other.value) / hypot(one.expanded_u, other.expanded_u)


def combined(*, results: tuple[Measured, ...]) -> Measured:
    """Results of one thing, none of them exact, as one (COMBINATION).

    What they have in common does not shrink.
    """
    weights = tuple(1 / each.u**2 for each in results)
    return total(each.scaled(weight / sum(weights)) for each, weight in zip(results, weights, strict=True))


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Non-conforming before inconclusive before conforming; of at least one verdict."""
    return max(verdicts, key=_WORSE.index)


_WORSE = (Verdict.CONFORMING, Verdict.INCONCLUSIVE, Verdict.NON_CONFORMING)


def _normal(limit: float, value: float, u: float) -> float:
    return erfc((value - limit) / (u * sqrt(2))) / 2
