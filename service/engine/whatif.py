"""How mass, bags, hours and price move over a cavity's density window."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from service.engine.density import Window
from service.engine.quantities import bags

STEPS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """A job if one of its cavities were filled to `target_kg_m3`; `net` is None without a price list."""

    target_kg_m3: float
    mass_kg: float
    bags: int
    hours: float
    net: Decimal | None


def steps(*, window: Window) -> tuple[float, ...]:
    """Densities to compare, in kg/m3, rising: evenly from lowest to highest, and the target."""
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
    shares = (step / (STEPS - 1) for step in range(STEPS))
    evenly = {lowest * (1 - share) + highest * share for share in shares}
    return tuple(sorted(evenly | {window.target_kg_m3.value}))


def what_if(
    *,
    window: Window,
    mass_at: Callable[[float], float],
    hours_at: Callable[[float], float],
    net_at: Callable[[float, float], Decimal | None],
    bag_kg: float,
    waste_percent: float,
) -> tuple[WhatIf, ...]:
    """One row for each density of `steps`.

    `mass_at` gives the job's kilograms at this cavity's density in kg/m3, `hours_at`
    the job's hours at so many kilograms, `net_at` its price at kilograms and hours.
    """
    return tuple(
        WhatIf(
            target_kg_m3=target,
            mass_kg=(mass := mass_at(target)),
            bags=bags(mass_kg=mass, bag_kg=bag_kg, waste_percent=waste_percent),
            hours=(hours := hours_at(mass)),
            net=net_at(mass, hours),
        )
        for target in steps(window=window)
    )
