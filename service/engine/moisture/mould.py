"""Whether the inside surface of an element stays warm enough against mould."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.shapes import Celsius, Range, Unit
from service.engine.ground.vocabulary import Standing
from service.engine.ground.working import Working
from service.engine.heat.buildup import Flank, flanks, ventilated
from service.engine.heat.surfaces import surfaces
from service.engine.moisture.vapour import dew_point_c, vapour_pa
from service.engine.survey.cavity import Cavity, Layer
from service.engine.survey.climate import Climate, MonthClimate

MOULD = Formula(
    code="temperature_factor",
    expression=(
        "f_rsi = 1 - 0.25/(coldest_m2k_w + 0.25); "
        "f_rsi_needed = (surface_needed_c - outside_c)/(inside_c - outside_c)"
    ),
    source="ISO 13788: 80 % humidity at the surface, inside surface resistance 0.25 m2K/W",
    standing=Standing.SECOND_HAND,
)

FORMULAS = (MOULD,)

INSIDE_SURFACE_M2K_W = 0.25
HUMIDITY_AT_SURFACE = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class SurfaceCheck:
    """The factor that the coldest path has, and the one that the worst month (1 to 12) needs.

    `surface_needed_c` is the surface's temperature in that month at which the air there is
    at 80 % humidity. What the worst month needs is None where no month is warmer inside than out.
    """

    f_rsi: Annotated[float, Unit(""), "temperature factor of the inside surface at the coldest path"]
    f_rsi_needed: Annotated[float | None, Unit(""), "temperature factor that the worst month needs"]
    surface_needed_c: Annotated[
        Celsius | None, "surface temperature at which the air there is at 80 % humidity in that month"
    ]
    critical_month: Annotated[int | None, Range(1, 12), "the worst month, by its number"]
    mould: Annotated[bool, "whether mould can grow on the inside surface"]
    provenance: Annotated[Provenance, "where the check comes from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coldest:
    """What a surface was checked by, for who asks: its coldest path, and the vapour of the worst month."""

    resistance_m2k_w: float
    worst: MonthClimate | None
    pressure_pa: float | None


def surface_check(
    *, cavity: Cavity, conductivity_w_mk: float, climate: Climate, working: Working | None = None
) -> SurfaceCheck:
    """The danger of mould on the inside surface (MOULD), away from corners and openings.

    The coldest path goes straight through the timber, which makes the check a little
    too strict. Raises InvalidInput at a layer beside the cavity without a resistance.
    """
    coldest = coldest_m2k_w(cavity=cavity, conductivity_w_mk=conductivity_w_mk)
    factor = 1 - INSIDE_SURFACE_M2K_W / (coldest + INSIDE_SURFACE_M2K_W)
    needs = [
        (factor_needed(month=month), number)
        for number, month in enumerate(climate.months, 1)
        if month.inside_c > month.outside_c
    ]
    needed, critical = max(needs, key=lambda need: need[0], default=(None, None))
    worst = climate.months[critical - 1] if critical else None
    pressure = pressure_at_surface_pa(month=worst) if worst else None
    if working:
        working.keep(Coldest(resistance_m2k_w=coldest, worst=worst, pressure_pa=pressure))
    return SurfaceCheck(
        f_rsi=factor,
        f_rsi_needed=needed,
        surface_needed_c=None if pressure is None else dew_point_c(pressure_pa=pressure),
        critical_month=critical,
        mould=needed is not None and factor < needed,
        provenance=MOULD.provenance,
    )


def factor_needed(*, month: MonthClimate) -> float:
    """The temperature factor that keeps the surface below 80 % humidity in a month warmer inside than out."""
    return (surface_needed_c(month=month) - month.outside_c) / (month.inside_c - month.outside_c)


def surface_needed_c(*, month: MonthClimate) -> float:
    """The temperature in C at which the air of the room is at 80 % humidity (DEW_POINT)."""
    return dew_point_c(pressure_pa=pressure_at_surface_pa(month=month))


def pressure_at_surface_pa(*, month: MonthClimate) -> float:
    """The saturation pressure in Pa that makes the room's vapour 80 % humidity."""
    inside_pa = vapour_pa(temperature_c=month.inside_c, rh_percent=month.inside_rh_percent)
    return inside_pa / HUMIDITY_AT_SURFACE


def coldest_m2k_w(*, cavity: Cavity, conductivity_w_mk: float) -> float:
    """The resistance in m2K/W from the outside air to the inside surface, straight through the timber.

    Through the battens of a layer beside the cavity too, where they let more heat pass than what
    lies between them: somewhere they meet the members.
    """
    beside = flanks(cavity=cavity)
    faces = surfaces(element=cavity.element, pitch_deg=cavity.pitch_deg, sheltered=ventilated(cavity=cavity))
    through = sum(layer.depth_mm / 1000 / _best_w_mk(layer, conductivity_w_mk) for layer in cavity.layers)
    return faces.rse + sum(map(_least_m2k_w, beside.outside + beside.inside)) + through


def _least_m2k_w(flank: Flank) -> float:
    return flank.between if flank.battens is None else min(flank.between, flank.battens)


def _best_w_mk(layer: Layer, conductivity_w_mk: float) -> float:
    if layer.framing is None:
        return conductivity_w_mk
    return max(conductivity_w_mk, layer.framing.conductivity_w_mk)
