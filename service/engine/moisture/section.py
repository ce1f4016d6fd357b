"""A section through a filled element, as one line that heat and vapour follow through the fill."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import accumulate

from service.engine.ground.messages import Message, message
from service.engine.heat.buildup import beside, resistances_m2k_w, sd_m, ventilated
from service.engine.heat.surfaces import surfaces
from service.engine.moisture.vapour import saturation_pa, vapour_pa
from service.engine.survey.cavity import Cavity
from service.engine.survey.climate import MonthClimate
from service.engine.survey.practice import Material
from service.errors import Fault, InvalidInput

THICKEST_STRIP_M2K_W = 0.25
"""ISO 13788 reckons with a well-insulating layer in strips no better than this (from memory)."""

MOST_STRIPS = 200
"""Enough for 50 m2K/W, which no building has; it bounds the work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Nodes between strips, from the outside surface to the inside one.

    For each node `sd_m` and `resistance_m2k_w` count from outside (the resistance with
    the outside surface's), and `where` names its place. `total_m2k_w` is from air to air.
    """

    sd_m: tuple[float, ...]
    resistance_m2k_w: tuple[float, ...]
    where: tuple[Message, ...]
    total_m2k_w: float


def section(*, cavity: Cavity, material: Material) -> Section:
    """The section of a cavity and the layers beside it, cut into strips.

    Raises InvalidInput at the fields of a layer beside the cavity that lacks its
    resistance to heat or vapour, or at `/layers` where the fill's data sheet has no `mu`.
    """
    if material.mu is None:
        raise InvalidInput(Fault("/layers", message("moisture.fill_without_mu", material=material.code)))
    outside, inside = beside(cavity=cavity)
    depth_m = cavity.depth_mm / 1000
    faces = surfaces(element=cavity.element, pitch_deg=cavity.pitch_deg, sheltered=ventilated(cavity=cavity))
    fill = message("moisture.the_fill")
    names: tuple[str | Message, ...] = (
        *(each.layer.name for each in outside),
        fill,
        *(each.layer.name for each in inside),
    )
    heat = (
        *resistances_m2k_w(layers=outside),
        depth_m / material.conductivity_w_mk,
        *resistances_m2k_w(layers=inside),
    )
    damp = (*sd_m(layers=outside), depth_m * material.mu, *sd_m(layers=inside))
    strip = max(THICKEST_STRIP_M2K_W, math.fsum(heat) / MOST_STRIPS)
    strips = tuple(max(1, math.ceil(r / strip)) for r in heat)
    return Section(
        sd_m=_running(0.0, damp, strips),
        resistance_m2k_w=_running(faces.rse, heat, strips),
        where=tuple(_where(names, strips)),
        total_m2k_w=faces.rse + math.fsum(heat) + faces.rsi,
    )


def temperatures_c(*, section: Section, month: MonthClimate) -> tuple[float, ...]:
    """Temperature at each node in C."""
    rise = (month.inside_c - month.outside_c) / section.total_m2k_w
    return tuple(month.outside_c + rise * resistance for resistance in section.resistance_m2k_w)


def ceilings_pa(*, section: Section, month: MonthClimate) -> tuple[float, ...]:
    """Saturation pressure at each node in Pa; at both ends the vapour pressure of the air.

    A surface that is itself wet passes on no more than saturated vapour.
    """
    outer, *between, inner = (
        saturation_pa(temperature_c=t) for t in temperatures_c(section=section, month=month)
    )
    outside = vapour_pa(temperature_c=month.outside_c, rh_percent=month.outside_rh_percent)
    inside = vapour_pa(temperature_c=month.inside_c, rh_percent=month.inside_rh_percent)
    return (min(outside, outer), *between, min(inside, inner))


def _running(start: float, whole: tuple[float, ...], strips: tuple[int, ...]) -> tuple[float, ...]:
    parts = (value / count for value, count in zip(whole, strips, strict=True) for _ in range(count))
    return tuple(accumulate(parts, initial=start))


def _where(names: tuple[str | Message, ...], strips: tuple[int, ...]) -> Iterator[Message]:
    yield message("moisture.outside_surface")
    for outer, inner, count in zip(names, (*names[1:], None), strips, strict=True):
        yield from (message("moisture.in_layer", layer=outer),) * (count - 1)
        yield (
            message("moisture.between", outer=outer, inner=inner)
            if inner is not None
            else message("moisture.inside_surface")
        )
