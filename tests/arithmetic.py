"""The arithmetic of an explanation, read as text and worked out over its inputs."""

import re
from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal
from statistics import NormalDist
from typing import Any

import numpy

from service.engine.ground.explanation import Explanation


def evaluated(each: Explanation) -> Any:
    """The arithmetic of an explanation, over its inputs."""
    figure = each.pointer.rpartition("/")[2]
    pieces = each.expression.split("; ")
    own = [piece.removeprefix(f"{figure} = ") for piece in pieces if piece.startswith(f"{figure} = ")]
    arithmetic = (own or pieces)[0].partition(", over")[0].replace(" x ", " * ").replace("^", "**")
    assert re.fullmatch(r"[\w\s.+*/(),-]+", arithmetic), arithmetic
    series = defaultdict(list)
    for given_in in each.inputs:
        series[given_in.name].append(given_in.value)
    values = {name: numpy.array(some) if len(some) > 1 else some[0] for name, some in series.items()}
    return eval(arithmetic, {"__builtins__": {}, **FUNCTIONS}, values)


def half_up(value: float, places: float) -> float:
    """A float as it is printed, rounded as an invoice is."""
    return float(Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-int(places)), ROUND_HALF_UP))


FUNCTIONS = {
    "sum": lambda some: float(numpy.sum(some)),
    "ceil": lambda some: numpy.ceil(numpy.round(some, 9)),
    "max": numpy.maximum,
    "min": numpy.minimum,
    "round": half_up,
    "sqrt": numpy.sqrt,
    "exp": numpy.exp,
    "ln": numpy.log,
    "Phi": NormalDist().cdf,
}


def at(thing: Any, pointer: str) -> Any:
    """What stands at a JSON pointer (RFC 6901) into a result."""
    for step in pointer.split("/")[1:]:
        thing = thing[int(step)] if isinstance(thing, tuple) else getattr(thing, step)
    return thing
