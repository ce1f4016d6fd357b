"""Measured values with their uncertainty, propagated by the GUM (JCGM 100).

A value keeps what each of its inputs contributes to it. Adding, scaling and
dividing values carries these shares along, and shares of one and the same input
add up with their signs before anything is squared: what two masses have in
common (the scale, the mass of a bag) stays correlated in their sum, and cancels
as far as it does in their difference.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from math import cos, fsum, hypot, pi, sin, sqrt, tan
from statistics import NormalDist, stdev, variance
from typing import Annotated, NamedTuple

from service.engine.ground.formula import Formula
from service.engine.ground.messages import Message, message
from service.engine.ground.shapes import KgPerM3
from service.engine.ground.vocabulary import Standing

PROPAGATION = Formula(
    code="propagation",
    expression="u2 = sum over inputs of (sensitivity x u(input))2; expanded_u = 2 u",
    source="JCGM 100:2008, 5.1.2 and 5.2.2 (clauses from memory)",
    standing=Standing.SECOND_HAND,
)
RECTANGULAR = Formula(
    code="rectangular",
    expression="u = half-width / sqrt(3)",
    source="JCGM 100:2008, 4.3.7 (clause from memory)",
    standing=Standing.SECOND_HAND,
)
TYPE_A = Formula(
    code="type_a",
    expression="u = t(95.45 %, n - 1)/2 x s/sqrt(n), so that 2 u covers 95.45 %",
    source="JCGM 100:2008, 4.2.3 and annex G (clauses from memory)",
    standing=Standing.SECOND_HAND,
)

POOLED_SCATTER = Formula(
    code="pooled_scatter",
    expression="s2 = sum over groups of (n - 1) s2(group) / sum over groups of (n - 1)",
    source="JCGM 100:2008, H.3.6 and H.5.2 pool variances by their degrees of freedom (clauses from memory)",
    standing=Standing.SECOND_HAND,
)
PART_OF_ALL = Formula(
    code="part_of_all",
    expression="u = t(95.45 %, degrees of freedom)/2 x s x sqrt((1 - k/N)/k)",
    source="finite population correction, in any handbook of sampling; JCGM 100:2008, annex G",
    standing=Standing.PUBLISHED,
)

FORMULAS = (PROPAGATION, RECTANGULAR, TYPE_A, POOLED_SCATTER, PART_OF_ALL)

COVERAGE_FACTOR = 2.0
ENOUGH_FREEDOM = 3  # of fewer degrees of freedom a declared scatter takes the place of the one seen
ENOUGH_READINGS = ENOUGH_FREEDOM + 1
_COVERAGE = 2 * NormalDist().cdf(COVERAGE_FACTOR) - 1


class Share(NamedTuple):
    """What one input contributes, sign included, in the unit of the value it belongs to.

    `of` is the input itself: shares with the same `of` are fully correlated, all
    others independent. `name` is what a budget calls it. A building has thousands of
    them: a tuple is made several times as fast as a dataclass.
    """

    name: str
    of: str
    u: float

    def scaled(self, factor: float) -> "Share":
        """The share of what is `factor` times the value."""
        return Share(name=self.name, of=self.of, u=self.u * factor)


class Measured(NamedTuple):
    """A value and the shares of its inputs, no two of the same input."""

    value: float
    shares: tuple[Share, ...] = ()

    @property
    def u(self) -> float:
        """The combined standard uncertainty."""
        return hypot(*[u for _, _, u in self.shares])

    @property
    def expanded_u(self) -> float:
        """The expanded uncertainty, k = 2."""
        return COVERAGE_FACTOR * self.u

    def scaled(self, factor: float) -> "Measured":
        """The value times a number that is known exactly."""
        shares = tuple([Share(name, of, u * factor) for name, of, u in self.shares])
        return Measured(self.value * factor, shares)

    def over(self, divisor: "Measured") -> "Measured":
        """The quotient, to first order (`divisor` is not 0)."""
        value = self.value / divisor.value
        above, below = self.scaled(1 / divisor.value), divisor.scaled(-value / divisor.value)
        return Measured(value=value, shares=merged(above.shares + below.shares))


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """A line of an uncertainty budget."""

    name: Annotated[Message, "what errs"]
    u_kg_m3: Annotated[KgPerM3, "what it adds to the standard uncertainty"]


def total(values: Iterable[Measured]) -> Measured:
    """The sum of values; 0 where there are none."""
    values = tuple(values)
    return Measured(
        value=fsum(each.value for each in values),
        shares=merged(share for each in values for share in each.shares),
    )


def budget(*, density: Measured) -> tuple[Contribution, ...]:
    """The contributions to a density's uncertainty by name, the largest first, without those of nothing."""
    by_name: dict[str, list[float]] = {}
    for share in density.shares:
        if share.u:
            by_name.setdefault(share.name, []).append(share.u)
    lines = sorted(
        ((hypot(*parts), name) for name, parts in by_name.items()), key=lambda line: (-line[0], line[1])
    )
    return tuple(
        Contribution(name=message(f"budget.{name.replace(' ', '_')}"), u_kg_m3=u) for u, name in lines
    )


def rectangular(*, half: float) -> float:
    """Standard uncertainty of what lies anywhere within +- `half` (RECTANGULAR)."""
    return half / sqrt(3)


def type_a(*, readings: tuple[float, ...]) -> float:
    """Standard uncertainty of the mean of at least two readings (TYPE_A)."""
    return widened(freedom=len(readings) - 1) * stdev(readings) / sqrt(len(readings))


def mean_u(*, readings: tuple[float, ...], declared: float) -> float:
    """Standard uncertainty of the mean of at least one reading: TYPE_A, or few of `declared` scatter."""
    return type_a(readings=readings) if len(readings) >= ENOUGH_READINGS else declared / sqrt(len(readings))


def widened(*, freedom: int) -> float:
    """What a standard deviation of so few degrees of freedom is taken times, so that 2 u covers 95.45 %."""
    return student_t(coverage=_COVERAGE, freedom=freedom) / COVERAGE_FACTOR


@dataclass(frozen=True, slots=True, kw_only=True)
class Scatter:
    """A standard deviation and its degrees of freedom; None where it was declared."""

    s: float
    freedom: int | None = None

    def of_mean(self, *, taken: int, of: int) -> float:
        """Standard uncertainty of the mean of all `of` things by the `taken` ones of them (PART_OF_ALL)."""
        factor = 1.0 if self.freedom is None else widened(freedom=self.freedom)
        return factor * self.s * sqrt((1 - taken / of) / taken)


def pooled(*, groups: Iterable[tuple[float, ...]], declared: float) -> Scatter:
    """The scatter inside groups of like things (POOLED_SCATTER); `declared` where they show too little."""
    several = [group for group in groups if len(group) > 1]
    freedom = sum(len(group) - 1 for group in several)
    if freedom < ENOUGH_FREEDOM:
        return Scatter(s=declared)
    squares = fsum((len(group) - 1) * variance(group) for group in several)
    return Scatter(s=sqrt(squares / freedom), freedom=freedom)


@cache
def student_t(*, coverage: float, freedom: int) -> float:
    """The t within which Student's distribution with `freedom` degrees holds `coverage` (0 to 1).

    The distribution for whole degrees of freedom is a finite series in the angle
    atan(t/sqrt(freedom)) (Abramowitz and Stegun 26.7.3 and 26.7.4, from memory);
    the angle is found by halving.
    """
    low, high = 0.0, pi / 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _within(middle, freedom) < coverage else (low, middle)
    return tan(low) * sqrt(freedom)


def _within(angle: float, freedom: int) -> float:
    odd = freedom % 2
    term = cos(angle) if odd else 1.0
    series = 0.0
    for step in range(1 + odd, freedom, 2):
        series += term
        term *= cos(angle) ** 2 * step / (step + 1)
    series *= sin(angle)
    return 2 / pi * (angle + series) if odd else series


def merged(shares: Iterable[Share]) -> tuple[Share, ...]:
    """The shares with those of one and the same input added up, each where its input came first."""
    by_input: dict[str, Share] = {}
    for share in shares:
        name, of, u = share
        by_input[of] = Share(name, of, u + by_input[of].u) if of in by_input else share
    return tuple(by_input.values())
