"""The air on both sides of an element, month by month."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.shapes import Celsius, Percent, Range
from service.engine.survey.sourced import Sourced

COLDEST_C, WARMEST_C = -40.0, 50.0
"""What the saturation pressure is checked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthClimate:
    """Means of one month on both sides of the element."""

    inside_c: Annotated[Celsius, Range(COLDEST_C, WARMEST_C), "mean temperature inside"]
    inside_rh_percent: Annotated[Percent, Range(0, 100), "mean relative humidity inside"]
    outside_c: Annotated[Celsius, Range(COLDEST_C, WARMEST_C), "mean temperature outside"]
    outside_rh_percent: Annotated[Percent, Range(0, 100), "mean relative humidity outside"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate(Sourced):
    """A year's climate, January first."""

    months: Annotated[tuple[MonthClimate, ...], "the twelve months, January first"]
