"""Vapour diffusing through an element in the steady state, and where it condenses.

Nodes are numbered from the outside in, each with its place `sd_m` (metres of still air
from the outside surface) and a ceiling: the saturation pressure there, or at the two
ends the pressure of the air. The vapour pressure is a string pulled taut between the
ends under those ceilings: where it touches one, vapour condenses, by as much as the
string bends. A node that is already wet is held at its ceiling, and gives off vapour where
the string bends the other way, until it is dry.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing

DIFFUSION = Formula(
    code="vapour_flow",
    expression="2e-10 x (inner_pa - outer_pa)/(inner_sd_m - outer_sd_m)",
    source="ISO 13788",
    standing=Standing.SECOND_HAND,
)

FORMULAS = (DIFFUSION,)

PERMEABILITY_OF_AIR_KG_M_S_PA = 2e-10

DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
SECONDS_A_DAY = 86_400

NOTHING_KG_M2 = 1e-9
"""Less than this is an artefact of floating-point numbers, not water."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthEnd:
    """Water at each node, in kg/m2, when month `month` (1 to 12) ends, and its change since it began."""

    month: int
    water_kg_m2: tuple[float, ...]
    change_kg_m2: tuple[float, ...]


def touched(
    *, sd_m: Sequence[float], ceiling_pa: Sequence[float], held: Iterable[int] = ()
) -> tuple[int, ...]:
    """Nodes where the string touches its ceiling, in order; the two ends and `held` nodes are among them."""
    pins = sorted({0, len(sd_m) - 1, *held})
    stretches = (_taut(sd_m, ceiling_pa, range(left, right + 1)) for left, right in pairwise(pins))
    return (0, *(node for stretch in stretches for node in stretch[1:]))


def pressures_pa(
    *, sd_m: Sequence[float], ceiling_pa: Sequence[float], held: Iterable[int] = ()
) -> tuple[float, ...]:
    """Vapour pressure at each node in Pa: straight between the nodes that the string touches."""
    pressures = [ceiling_pa[0]]
    for left, right in pairwise(touched(sd_m=sd_m, ceiling_pa=ceiling_pa, held=held)):
        slope = _slope(sd_m, ceiling_pa, left, right)
        pressures += (ceiling_pa[right] - slope * (sd_m[right] - sd_m[k]) for k in range(left + 1, right + 1))
    return tuple(pressures)


def flow_kg_m2_s(*, sd_m: float, outer_pa: float, inner_pa: float) -> float:
    """Vapour that flows outwards through a stretch of this sd, in kg/(m2 s) (DIFFUSION)."""
    return PERMEABILITY_OF_AIR_KG_M_S_PA * (inner_pa - outer_pa) / sd_m


def gains_kg_m2_s(
    *, sd_m: Sequence[float], ceiling_pa: Sequence[float], held: Iterable[int] = ()
) -> tuple[float, ...]:
    """Water gained at each node in kg/(m2 s) (DIFFUSION); below zero where it dries; the ends gain none."""
    gains = [0.0] * len(sd_m)
    nodes = touched(sd_m=sd_m, ceiling_pa=ceiling_pa, held=held)
    for (before, node), (_, after) in pairwise(pairwise(nodes)):
        gains[node] = _flow(sd_m, ceiling_pa, node, after) - _flow(sd_m, ceiling_pa, before, node)
    return tuple(gains)


def year(*, sd_m: Sequence[float], ceilings_pa: Sequence[Sequence[float]]) -> tuple[MonthEnd, ...]:
    """A year's water, from the month in which condensation begins; empty if it never does.

    `ceilings_pa` has the twelve months, January first. Where several months follow a dry
    one, the year is begun with the first that comes back to a dry element, if any does.
    """
    wets = [any(_water_after(sd_m, ceilings_pa, month, (0.0,) * len(sd_m))) for month in range(12)]
    starts = [month for month in range(12) if wets[month] and not wets[month - 1]]
    years = [_from(start, sd_m, ceilings_pa) for start in starts or ([0] if any(wets) else [])]
    return next((ends for ends in years if not any(ends[-1].water_kg_m2)), years[0] if years else ())


def _from(start: int, sd_m: Sequence[float], ceilings_pa: Sequence[Sequence[float]]) -> tuple[MonthEnd, ...]:
    water: tuple[float, ...] = (0.0,) * len(sd_m)
    ends = []
    for month in (*range(start, 12), *range(start)):
        now = _water_after(sd_m, ceilings_pa, month, water)
        change = tuple(after - before for after, before in zip(now, water, strict=True))
        ends.append(MonthEnd(month=month + 1, water_kg_m2=now, change_kg_m2=change))
        water = now
    return tuple(ends)


def _water_after(
    sd_m: Sequence[float], ceilings_pa: Sequence[Sequence[float]], month: int, water: tuple[float, ...]
) -> tuple[float, ...]:
    left = float(DAYS[month] * SECONDS_A_DAY)
    while left > 0:
        held = [node for node, mass in enumerate(water) if mass > 0]
        gains = gains_kg_m2_s(sd_m=sd_m, ceiling_pa=ceilings_pa[month], held=held)
        drying = (water[node] / -gains[node] for node in held if gains[node] < 0)
        seconds = min((left, *drying))
        masses = (mass + gain * seconds for mass, gain in zip(water, gains, strict=True))
        water = tuple(mass if mass > NOTHING_KG_M2 else 0.0 for mass in masses)
        left -= seconds
    return water


def _taut(sd_m: Sequence[float], ceiling_pa: Sequence[float], nodes: range) -> list[int]:
    stretch: list[int] = []
    for node in nodes:
        while len(stretch) > 1 and _slope(sd_m, ceiling_pa, stretch[-2], stretch[-1]) >= _slope(
            sd_m, ceiling_pa, stretch[-1], node
        ):
            stretch.pop()
        stretch.append(node)
    return stretch


def _flow(sd_m: Sequence[float], ceiling_pa: Sequence[float], left: int, right: int) -> float:
    return flow_kg_m2_s(sd_m=sd_m[right] - sd_m[left], outer_pa=ceiling_pa[left], inner_pa=ceiling_pa[right])


def _slope(sd_m: Sequence[float], ceiling_pa: Sequence[float], left: int, right: int) -> float:
    return (ceiling_pa[right] - ceiling_pa[left]) / (sd_m[right] - sd_m[left])
