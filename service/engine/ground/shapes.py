"""What a field of a dataclass says besides its type: its unit, its range and its meaning.

A field is `density_kg_m3: Annotated[float, Unit("kg/m3"), "density as blown, by mass balance"]`:
text among the annotations is the meaning. The answers' schemas, their description and the rounding
of figures for people are derived from it, so that a shape is said once.
"""

from dataclasses import dataclass, fields
from typing import Annotated, Any, get_type_hints


@dataclass(frozen=True, slots=True)
class Unit:
    """The unit of a figure, spelled as in messages: `kg/m3`, `m2`, `mm`, `%`; empty for a plain number."""

    symbol: str


@dataclass(frozen=True, slots=True)
class Range:
    """What a figure can be: from `least` to `most`, both included; None does not bind."""

    least: float | None = None
    most: float | None = None


def described(kind: type) -> dict[str, Any]:
    """The annotated types of a dataclass's fields by name, in their order."""
    hints = get_type_hints(kind, include_extras=True)
    return {field.name: hints[field.name] for field in fields(kind)}


Metres = Annotated[float, Unit("m")]
Millimetres = Annotated[float, Unit("mm")]
SquareMetres = Annotated[float, Unit("m2")]
CubicMetres = Annotated[float, Unit("m3")]
Kilograms = Annotated[float, Unit("kg")]
KgPerM2 = Annotated[float, Unit("kg/m2")]
KgPerM3 = Annotated[float, Unit("kg/m3")]
Resistance = Annotated[float, Unit("m2K/W")]
Transmittance = Annotated[float, Unit("W/m2K")]
Conductivity = Annotated[float, Unit("W/mK")]
Celsius = Annotated[float, Unit("C")]
Pascals = Annotated[float, Unit("Pa")]
Degrees = Annotated[float, Unit("deg")]
Percent = Annotated[float, Unit("%")]
Probability = Annotated[float, Range(0, 1)]
Hours = Annotated[float, Unit("h")]
