"""One figure's working: its formula, what went into it and where that comes from."""

from collections.abc import Iterable
from dataclasses import dataclass

from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing

Given = float | Iterable[float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """A figure that went into another one; the unit is in its name."""

    name: str
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """How the figure at `pointer` (RFC 6901, into the takeoff) came about.

    `expression` is arithmetic over the names of `inputs`, as far as it can be; of
    several figures it says `name = ...` for each. Inputs of one name are a series, in
    the order of what they are of; `sum` and its like go over it.
    """

    pointer: str
    value: float
    formula: str
    name: str
    expression: str
    inputs: tuple[Input, ...]
    source: str
    standing: Standing


def explained(pointer: str, value: float, formula: Formula, **inputs: Given) -> Explanation:
    """The working of a figure by a formula; an input with several values is a series."""
    return Explanation(
        pointer=pointer,
        value=float(value),
        formula=formula.code,
        name=formula.name,
        expression=formula.expression,
        inputs=tuple(Input(name=name, value=each) for name, given in inputs.items() for each in _each(given)),
        source=formula.source,
        standing=formula.standing,
    )


def _each(given: Given) -> tuple[float, ...]:
    return (float(given),) if isinstance(given, int | float) else tuple(float(each) for each in given)
