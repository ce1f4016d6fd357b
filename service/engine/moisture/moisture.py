"""Moisture in a filled element over a year, after ISO 13788: an indicator, never proof."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.messages import Message, message
from service.engine.ground.shapes import Celsius, KgPerM2, Metres, Pascals, Range, Unit
from service.engine.ground.vocabulary import Condensation, Element, Fill, Standing
from service.engine.ground.working import Working
from service.engine.heat.buildup import ventilated
from service.engine.moisture.diffusion import MonthEnd, flow_kg_m2_s, pressures_pa, year
from service.engine.moisture.mould import SurfaceCheck, surface_check
from service.engine.moisture.section import Section, ceilings_pa, section, temperatures_c
from service.engine.moisture.vapour import saturation_pa
from service.engine.survey.cavity import Cavity
from service.engine.survey.climate import Climate, MonthClimate
from service.engine.survey.practice import Material

MOISTURE = Formula(
    code="interstitial_condensation",
    expression=(
        "water_kg_m2 = before_kg_m2 + condensed_kg_m2 - evaporated_kg_m2; at a boundary: what flows in less "
        "what flows out, times the month's seconds, not below zero"
    ),
    source="ISO 13788",
    standing=Standing.SECOND_HAND,
)

FORMULAS = (MOISTURE,)

LIMITS = (
    message("moisture.indicator_only"),
    message("moisture.left_out"),
    message("moisture.path_taken"),
)
UNVENTED_ROOF = message("moisture.unvented_roof")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfilePoint:
    """Temperature and vapour at a boundary; `sd_m` counts from the outside surface."""

    where: Annotated[Message, "the boundary: of which layers, or which surface"]
    sd_m: Annotated[Metres, "equivalent air layer thickness from the outside surface to here"]
    temperature_c: Annotated[Celsius, "temperature"]
    saturation_pa: Annotated[Pascals, "vapour pressure at saturation"]
    vapour_pa: Annotated[Pascals, "vapour pressure"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthWater:
    """Water in the whole element: what a month (1 to 12) adds and takes, and what is there at its end."""

    month: Annotated[int, Range(1, 12), "the month by its number"]
    condensed_kg_m2: Annotated[KgPerM2, "water that condenses in the month"]
    evaporated_kg_m2: Annotated[KgPerM2, "water that dries out in the month"]
    water_kg_m2: Annotated[KgPerM2, "water in the element when the month ends"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WetPlace:
    """A boundary, or the inside of a layer, where vapour condenses: most water, and what a year leaves."""

    where: Annotated[Message, "the boundary, or the layer"]
    peak_kg_m2: Annotated[KgPerM2, "most water there at any month's end"]
    left_kg_m2: Annotated[KgPerM2, "water that is left there after a year"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moisture:
    """What a year does to the element; `months` run from the first with condensation.

    `profile` shows the coldest month, `profile_month`, as if it began dry: `inflow_kg_m2_s` comes
    from the room then, `outflow_kg_m2_s` leaves to the outside, and what does not leave condenses.
    """

    label: Annotated[str, "the cavity"]
    condensation: Annotated[Condensation, "what becomes of vapour that condenses, over a year"]
    peak_kg_m2: Annotated[KgPerM2, "most water in the element at any month's end"]
    left_kg_m2: Annotated[KgPerM2, "water that is left after a year"]
    months: Annotated[tuple[MonthWater, ...], "month by month, from the first with condensation"]
    places: Annotated[tuple[WetPlace, ...], "where vapour condenses"]
    surface: Annotated[SurfaceCheck, "whether the inside surface stays warm enough against mould"]
    profile_month: Annotated[int, Range(1, 12), "the coldest month, by its number"]
    profile: Annotated[tuple[ProfilePoint, ...], "the section in that month, from the outside in"]
    inflow_kg_m2_s: Annotated[float, Unit("kg/m2s"), "vapour that flows in from the room in that month"]
    outflow_kg_m2_s: Annotated[float, Unit("kg/m2s"), "vapour that leaves to the outside in that month"]
    limits: Annotated[tuple[Message, ...], "what the indicator leaves out: it is never proof"]
    provenance: Annotated[Provenance, "where the indicator comes from"]


def moisture(
    *, cavity: Cavity, material: Material, climate: Climate, working: Working | None = None
) -> Moisture:
    """Condensation inside the element (MOISTURE), and the danger of mould on its inside surface.

    `climate` has twelve months within its ranges. Raises InvalidInput at the fields of a layer
    beside the cavity that lacks its resistance to heat or vapour, or at `/layers` where
    the fill's data sheet has no `mu`.
    """
    line = section(cavity=cavity, material=material)
    ends = year(
        sd_m=line.sd_m, ceilings_pa=tuple(ceilings_pa(section=line, month=month) for month in climate.months)
    )
    peak = max((math.fsum(end.water_kg_m2) for end in ends), default=0.0)
    left = math.fsum(ends[-1].water_kg_m2) if ends else 0.0
    coldest = min(range(len(climate.months)), key=lambda index: climate.months[index].outside_c)
    points = profile(section=line, month=climate.months[coldest])
    return Moisture(
        label=cavity.label,
        condensation=_outcome(peak, left),
        peak_kg_m2=peak,
        left_kg_m2=left,
        months=tuple(_month_water(end) for end in ends),
        places=tuple(_places(line, ends)),
        surface=surface_check(
            cavity=cavity,
            conductivity_w_mk=material.conductivity_w_mk,
            climate=climate,
            working=working,
        ),
        profile_month=coldest + 1,
        profile=points,
        inflow_kg_m2_s=_flow(points[-2], points[-1]),
        outflow_kg_m2_s=_flow(points[0], points[1]),
        limits=LIMITS + ((UNVENTED_ROOF,) if _unvented_roof(cavity) else ()),
        provenance=MOISTURE.provenance,
    )


def profile(*, section: Section, month: MonthClimate) -> tuple[ProfilePoint, ...]:
    """Temperature, saturation and vapour pressure at each node, in a month that begins dry."""
    vapour = pressures_pa(sd_m=section.sd_m, ceiling_pa=ceilings_pa(section=section, month=month))
    temperatures = temperatures_c(section=section, month=month)
    return tuple(
        ProfilePoint(
            where=where,
            sd_m=sd,
            temperature_c=temperature,
            saturation_pa=saturation_pa(temperature_c=temperature),
            vapour_pa=pressure,
        )
        for where, sd, temperature, pressure in zip(
            section.where, section.sd_m, temperatures, vapour, strict=True
        )
    )


def _flow(outer: ProfilePoint, inner: ProfilePoint) -> float:
    return flow_kg_m2_s(sd_m=inner.sd_m - outer.sd_m, outer_pa=outer.vapour_pa, inner_pa=inner.vapour_pa)


def _outcome(peak: float, left: float) -> Condensation:
    if left > 0:
        return Condensation.REMAINS
    return Condensation.DRIES if peak > 0 else Condensation.NONE


def _month_water(end: MonthEnd) -> MonthWater:
    return MonthWater(
        month=end.month,
        condensed_kg_m2=math.fsum(change for change in end.change_kg_m2 if change > 0),
        evaporated_kg_m2=math.fsum(-change for change in end.change_kg_m2 if change < 0),
        water_kg_m2=math.fsum(end.water_kg_m2),
    )


def _places(line: Section, ends: tuple[MonthEnd, ...]) -> Iterator[WetPlace]:
    for where, group in groupby(range(len(line.where)), key=lambda node: line.where[node]):
        nodes = tuple(group)
        water = [math.fsum(end.water_kg_m2[node] for node in nodes) for end in ends]
        if any(water):
            yield WetPlace(where=where, peak_kg_m2=max(water), left_kg_m2=water[-1])


def _unvented_roof(cavity: Cavity) -> bool:
    roof = cavity.element is Element.ROOF_SLOPE
    return roof and cavity.lies is Fill.DENSE and not ventilated(cavity=cavity)
