"""Water vapour in air: saturation pressure, its inverse, and the pressure at a humidity."""

import math

from service.engine.formula import Formula
from service.engine.vocabulary import Standing

SATURATION = Formula(
    code="saturation_pressure",
    name="Saturation pressure of water vapour",
    expression="610.5 exp(17.269 t/(237.3 + t)) from 0 C up, 610.5 exp(21.875 t/(265.5 + t)) over ice below",
    source="ISO 13788, annex E",
    standing=Standing.SECOND_HAND,
)

DEW_POINT = Formula(
    code="dew_point",
    name="Dew point",
    expression="t = b ln(p/610.5)/(a - ln(p/610.5)), with a and b of the saturation pressure",
    source="ISO 13788, annex E",
    standing=Standing.FROM_MEMORY,
)

FORMULAS = (SATURATION, DEW_POINT)

AT_FREEZING_PA = 610.5
OVER_WATER = (17.269, 237.3)
OVER_ICE = (21.875, 265.5)


def saturation_pa(*, temperature_c: float) -> float:
    """Pressure of saturated vapour in Pa (SATURATION); for temperatures above -200 C."""
    slope, offset = OVER_WATER if temperature_c >= 0 else OVER_ICE
    return AT_FREEZING_PA * math.exp(slope * temperature_c / (offset + temperature_c))


def dew_point_c(*, pressure_pa: float) -> float:
    """Temperature in C at which vapour of this pressure, above zero, is saturated (DEW_POINT)."""
    slope, offset = OVER_WATER if pressure_pa >= AT_FREEZING_PA else OVER_ICE
    height = math.log(pressure_pa / AT_FREEZING_PA)
    return offset * height / (slope - height)


def vapour_pa(*, temperature_c: float, rh_percent: float) -> float:
    """Pressure in Pa of the vapour in air of this temperature and relative humidity."""
    return rh_percent / 100 * saturation_pa(temperature_c=temperature_c)
