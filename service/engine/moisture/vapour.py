"""Water vapour in air: saturation pressure, its inverse, and the pressure at a humidity."""

import math

from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing

SATURATION = Formula(
    code="saturation_pressure",
    expression=(
        "610.5 x exp(a x temperature_c/(b + temperature_c)); a = 17.269 and b = 237.3 from 0 C up, "
        "a = 21.875 and b = 265.5 over ice below"
    ),
    source="ISO 13788, annex E",
    standing=Standing.SECOND_HAND,
)

DEW_POINT = Formula(
    code="dew_point",
    expression="b x ln(pressure_pa/610.5)/(a - ln(pressure_pa/610.5)); a and b of the saturation pressure",
    source="ISO 13788, annex E",
    standing=Standing.FROM_MEMORY,
)

FORMULAS = (SATURATION, DEW_POINT)

AT_FREEZING_PA = 610.5
OVER_WATER = (17.269, 237.3)
OVER_ICE = (21.875, 265.5)


def curve(*, freezing: bool) -> tuple[float, float]:
    """The constants a and b of SATURATION and DEW_POINT: over water, or over ice below 0 C."""
    return OVER_ICE if freezing else OVER_WATER


def saturation_pa(*, temperature_c: float) -> float:
    """Pressure of saturated vapour in Pa (SATURATION); for temperatures above -200 C."""
    a, b = curve(freezing=temperature_c < 0)
    return AT_FREEZING_PA * math.exp(a * temperature_c / (b + temperature_c))


def dew_point_c(*, pressure_pa: float) -> float:
    """Temperature in C at which vapour of this pressure, above zero, is saturated (DEW_POINT)."""
    a, b = curve(freezing=pressure_pa < AT_FREEZING_PA)
    height = math.log(pressure_pa / AT_FREEZING_PA)
    return b * height / (a - height)


def vapour_pa(*, temperature_c: float, rh_percent: float) -> float:
    """Pressure in Pa of the vapour in air of this temperature and relative humidity."""
    return rh_percent / 100 * saturation_pa(temperature_c=temperature_c)
