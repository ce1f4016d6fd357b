"""How far a firm's parts took another mass than planned, by element and way of filling: it only advises."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import median, quantiles
from typing import Annotated

from service.engine.ground.shapes import Unit
from service.engine.ground.vocabulary import Element, Method

FEWEST_JOBS = 10
"""Certified jobs that a firm needs before its own figures say anything (common practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A part of a certified job: what was planned for it, and what is in it."""

    job: str
    element: Element
    method: Method
    planned_kg: float
    real_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What parts of one element, filled in one way, took of what was planned."""

    element: Annotated[Element, "the part of the envelope"]
    method: Annotated[Method, "way of filling"]
    jobs: Annotated[int, "certified jobs that have such parts"]
    parts: Annotated[int, "such parts"]
    median: Annotated[float, Unit(""), "median of the mass in a part, over what was planned"]
    lower_quartile: Annotated[float, Unit(""), "a quarter of the parts lie below"]
    upper_quartile: Annotated[float, Unit(""), "a quarter of the parts lie above"]


def learned(*, parts: Iterable[Done]) -> tuple[Learned, ...]:
    """Of each element and method what its parts took; nothing before there are FEWEST_JOBS jobs."""
    groups: dict[tuple[Element, Method], list[Done]] = defaultdict(list)
    for part in parts:
        groups[part.element, part.method].append(part)
    found = (_learned(*of, done) for of, done in sorted(groups.items()))
    return tuple(each for each in found if each.jobs >= FEWEST_JOBS)


def _learned(element: Element, method: Method, done: list[Done]) -> Learned:
    ratios = [part.real_kg / part.planned_kg for part in done]
    lower, _, upper = quantiles(ratios, n=4, method="inclusive") if len(ratios) > 1 else ratios * 3
    return Learned(
        element=element,
        method=method,
        jobs=len({part.job for part in done}),
        parts=len(done),
        median=median(ratios),
        lower_quartile=lower,
        upper_quartile=upper,
    )
