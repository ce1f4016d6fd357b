"""The air on both sides of an element, month by month."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.shapes import Celsius, Percent, Range
from service.engine.survey.sourced import Sourced
from service.errors import Fault, InvalidInput

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


def check_climate(*, climate: Climate) -> None:
    """Raises InvalidInput, with pointers relative to the climate, where it cannot be."""
    faults = [] if len(climate.months) == 12 else [Fault("/months", "A climate has twelve months.")]
    for index, month in enumerate(climate.months):
        faults += _faults(f"/months/{index}", month)
    if faults:
        raise InvalidInput(*faults)


def _faults(pointer: str, month: MonthClimate) -> list[Fault]:
    temperatures = {"inside_c": month.inside_c, "outside_c": month.outside_c}
    humidities = {
        "inside_rh_percent": month.inside_rh_percent,
        "outside_rh_percent": month.outside_rh_percent,
    }
    return [
        Fault(f"{pointer}/{field}", f"The temperature must lie between {COLDEST_C:g} and {WARMEST_C:g} C.")
        for field, value in temperatures.items()
        if not COLDEST_C <= value <= WARMEST_C
    ] + [
        Fault(f"{pointer}/{field}", "The relative humidity must be above 0 and at most 100 %.")
        for field, value in humidities.items()
        if not 0 < value <= 100
    ]
