"""One figure's working: its formula, what went into it and where that comes from."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance

Given = float | Iterable[float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """A figure that went into another one; the unit is in its name."""

    name: Annotated[str, "name of the figure, with its unit; several of one name are a series"]
    value: Annotated[float, "the figure, in the unit of its name"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """How the figure at `pointer` (RFC 6901, into the takeoff) came about.

    `expression` is arithmetic over the names of `inputs`, as far as it can be; of
    several figures it says `name = ...` for each. Inputs of one name are a series, in
    the order of what they are of; `sum` and its like go over it.
    """

    pointer: Annotated[str, "JSON pointer (RFC 6901) to the figure in this answer"]
    value: Annotated[float, "the figure, in the unit of the field at the pointer"]
    formula: Annotated[str, "code of the formula"]
    expression: Annotated[str, "arithmetic over the names of the inputs, as far as it can be"]
    inputs: Annotated[tuple[Input, ...], "what went into the figure"]
    provenance: Annotated[Provenance, "the rule that the figure follows, its source and standing"]


def explained(pointer: str, value: float, formula: Formula, **inputs: Given) -> Explanation:
    """The working of a figure by a formula; an input with several values is a series."""
    return Explanation(
        pointer=pointer,
        value=float(value),
        formula=formula.code,
        expression=formula.expression,
        inputs=tuple(Input(name=name, value=each) for name, given in inputs.items() for each in _each(given)),
        provenance=formula.provenance,
    )


def _each(given: Given) -> tuple[float, ...]:
    return (float(given),) if isinstance(given, int | float) else tuple(float(each) for each in given)
