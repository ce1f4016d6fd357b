"""Surface resistances, by the direction in which heat flows."""

from dataclasses import dataclass

from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Element, Standing

SURFACES = Formula(
    code="surface_resistance",
    expression="rsi = 0.13 horizontal, 0.10 up, 0.17 down; rse = 0.04 in the open, rsi where sheltered",
    source="ISO 6946, as quoted in BR 443; up to 30 degrees counts as horizontal (from memory)",
    standing=Standing.SECOND_HAND,
)

FORMULAS = (SURFACES,)

HORIZONTAL_M2K_W = 0.13
UPWARD_M2K_W = 0.10
DOWNWARD_M2K_W = 0.17
OPEN_AIR_M2K_W = 0.04

HORIZONTAL_FROM_PITCH_DEG = 60.0
"""Heat leaves a slope at right angles: within 30 degrees of the horizontal from this pitch on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Surfaces:
    """Resistances of the inside and the outside surface, in m2K/W."""

    rsi: float
    rse: float


def surfaces(*, element: Element, pitch_deg: float | None = None, sheltered: bool = False) -> Surfaces:
    """Both surface resistances of an element (SURFACES).

    `sheltered`: a well-ventilated layer or an unheated space lies outside, as it does
    above an attic's floor. A roof slope whose pitch is not known counts as upward,
    which gives the lower resistance.
    """
    rsi = _inside(element, pitch_deg)
    return Surfaces(rsi=rsi, rse=rsi if sheltered or element is Element.ATTIC else OPEN_AIR_M2K_W)


def _inside(element: Element, pitch_deg: float | None) -> float:
    match element:
        case Element.WALL:
            return HORIZONTAL_M2K_W
        case Element.FLOOR:
            return DOWNWARD_M2K_W
        case Element.ROOF_SLOPE if pitch_deg is not None and pitch_deg >= HORIZONTAL_FROM_PITCH_DEG:
            return HORIZONTAL_M2K_W
        case _:
            return UPWARD_M2K_W
