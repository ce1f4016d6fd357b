"""A cavity as it was found on the site, where that is otherwise than it was surveyed.

Volume, window, R and U follow what was found. A bay that was full or blocked is listed apart,
without any of these: what it holds is not ours to state. An absent one is no part of the cavity.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import fsum
from typing import Annotated

from service.engine.geometry.compartments import Compartment, Part, compartments_of, parts, parts_of
from service.engine.geometry.geometry import Geometry, measured
from service.engine.geometry.plane import Plane, plane
from service.engine.ground.messages import Message
from service.engine.ground.shapes import CubicMetres, Millimetres, SquareMetres, Unit
from service.engine.ground.vocabulary import BayState
from service.engine.heat.thermal import Thermal, thermal
from service.engine.plan.density import Window, window
from service.engine.plan.labels import label_r
from service.engine.plan.openblow import OpenBlow, markers
from service.engine.plan.quantities import whole
from service.engine.site.entries import Found
from service.engine.site.found_sizes import (
    bay_states,
    counted_sizes,
    depth_measured,
    found_cavity,
    found_depths,
)
from service.engine.site.planned import Planned
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material, Practice
from service.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class BayApart:
    """A bay that was met full, blocked or absent."""

    bay: Annotated[int, Unit(""), "number of the bay"]
    state: Annotated[BayState, "how it was met"]
    area_m2: Annotated[SquareMetres, "its clear area"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundFinding:
    """A part as it was found, beside what was quoted; R and U are of what is filled alone."""

    cavity: Annotated[str, "the part"]
    depth_measured: Annotated[bool, "whether anybody measured the depth on site"]
    depth_mm: Annotated[Millimetres, "depth as found, else as surveyed"]
    quoted_depth_mm: Annotated[Millimetres, "depth as quoted"]
    net_volume_m3: Annotated[CubicMetres, "volume that takes fill, as found"]
    quoted_net_volume_m3: Annotated[CubicMetres, "volume as quoted"]
    net_area_m2: Annotated[SquareMetres, "insulated area without the bays apart"]
    r_fill: Annotated[float | None, Unit("m2K/W"), "thermal resistance of the fill as found; None unfilled"]
    u_value_w_m2k: Annotated[
        float | None, Unit("W/m2K"), "transmittance as found, where it is filled and the method holds"
    ]
    as_it_is: Annotated[
        Cavity | None, "the part with the depths and members that were found; null where it is as planned"
    ]
    density: Annotated[
        Window | None, "its density's window as found; null where it is as planned, and of an open blow"
    ]
    thermal: Annotated[
        Thermal | None, "all of its heat as found, the maker's R too; null where it is as planned"
    ]
    apart: Annotated[tuple[BayApart, ...], "bays that were full, blocked or absent"]


def as_found(
    *, planned: Planned, found: tuple[Found, ...], material: Material, practice: Practice
) -> Planned:
    """The plan of a cavity as it was found; raises InvalidInput for what cannot be, at the entry's fields."""
    if not found:
        return planned
    cavity = found_cavity(planned=planned, found=found)
    laid_out = plane(cavity=cavity)
    shape, spaces = measured(laid_out=laid_out), _filled(laid_out, found)
    density, unfit = _window(planned, cavity, material, practice)
    return replace(
        planned,
        cavity=cavity,
        geometry=shape,
        compartments=spaces,
        density=density,
        open_blow=_blow(planned.open_blow, shape, spaces, material, practice, cavity.count),
        sizes=counted_sizes(cavity=planned.cavity, found=found, errors=practice.uncertainties.survey),
        depths=found_depths(cavity=planned.cavity, found=found, errors=practice.uncertainties.survey),
        unfit=unfit,
    )


def _filled(laid_out: Plane, found: tuple[Found, ...]) -> tuple[Compartment, ...]:
    """The compartments without the bays that take no fill."""
    apart, pieces = frozenset(bay_states(found=found)), parts_of(laid_out=laid_out)
    left = (_without(each, apart, pieces) for each in compartments_of(laid_out=laid_out))
    return tuple(each for each in left if each is not None)


def _window(
    planned: Planned, cavity: Cavity, material: Material, practice: Practice
) -> tuple[Window | None, Message | None]:
    """The window as found, with another target where the posted one lies outside of it now.

    Where no density suits the cavity, the quote's, and why: who finds it so must be able to say so.
    """
    for each in (cavity, replace(cavity, target_kg_m3=None)):
        try:
            return window(cavity=each, material=material, practice=practice), None
        except InvalidInput as error:
            refused = error
    why = refused.faults[0].detail
    assert isinstance(why, Message)
    return planned.density, why


def _blow(
    planned: OpenBlow | None,
    shape: Geometry,
    spaces: tuple[Compartment, ...],
    material: Material,
    practice: Practice,
    count: int,
) -> OpenBlow | None:
    """An open blow over what takes fill, as thick and as heavy as it was planned; None over nothing."""
    if planned is None or not spaces:
        return None
    net_m3 = fsum(each.net_volume_m3 for each in spaces) * count
    area_m2 = net_m3 / (planned.settled_mm / 1000)
    row = next((row for row in material.chart if row.label_r == planned.label_r), None)
    covered_m2 = shape.net_area_m2 * net_m3 / shape.net_volume_m3
    return replace(
        planned,
        area_m2=area_m2,
        mass_kg=planned.guard.planned_kg_m2 * area_m2,
        markers=markers(area_m2=covered_m2, count=count, practice=practice),
        bags_by_chart=whole(number=area_m2 * row.bags_per_100_m2 / 100) if row else None,
    )


def found_findings(
    *,
    quoted: tuple[Planned, ...],
    found: tuple[Planned, ...],
    entries: Mapping[str, tuple[Found, ...]],
    material: Material,
    practice: Practice,
) -> tuple[FoundFinding, ...]:
    """Every part as it was found, beside what was quoted."""
    return tuple(
        _finding(before, after, entries.get(before.cavity.label, ()), material, practice)
        for before, after in zip(quoted, found, strict=True)
    )


def _without(compartment: Compartment, apart: frozenset[int], pieces: tuple[Part, ...]) -> Compartment | None:
    """A compartment without the bays that take no fill; its volume falls with its clear area."""
    bays = tuple(bay for bay in compartment.bays if bay not in apart)
    if len(bays) == len(compartment.bays):
        return compartment
    if not bays:
        return None
    areas = [(each.bay in bays, each.area_m2) for each in pieces if each.bay in compartment.bays]
    share = fsum(area for kept, area in areas if kept) / fsum(area for _, area in areas)
    spills = (tuple(bay for bay in group if bay not in apart) for group in compartment.spills)
    return replace(
        compartment,
        bays=bays,
        net_volume_m3=compartment.net_volume_m3 * share,
        shared=len(bays) > 1,
        spills=tuple(group for group in spills if len(group) > 1),
    )


def _finding(
    quoted: Planned, found: Planned, entries: tuple[Found, ...], material: Material, practice: Practice
) -> FoundFinding:
    cavity, clear = found.cavity, parts(cavity=found.cavity)
    printed = label_r(cavity=cavity, density=found.density, material=material, market=practice.market)
    heat = thermal(
        cavity=cavity,
        geometry=found.geometry,
        conductivity_w_mk=material.conductivity_w_mk,
        label_r=printed,
    )
    differs = cavity != quoted.cavity
    apart = tuple(
        BayApart(bay=bay, state=state, area_m2=fsum(each.area_m2 for each in clear if each.bay == bay))
        for bay, state in sorted(bay_states(found=entries).items())
    )
    whole_m2 = fsum(each.area_m2 for each in clear) or 1.0
    kept = 1 - fsum(each.area_m2 for each in apart) / whole_m2
    return FoundFinding(
        cavity=cavity.label,
        depth_measured=depth_measured(cavity=quoted.cavity, found=entries),
        depth_mm=cavity.depth_mm,
        quoted_depth_mm=quoted.cavity.depth_mm,
        net_volume_m3=fsum(each.net_volume_m3 for each in found.compartments) * cavity.count,
        quoted_net_volume_m3=quoted.geometry.net_volume_m3,
        net_area_m2=found.geometry.net_area_m2 * kept,
        r_fill=heat.r_fill,
        u_value_w_m2k=heat.u_value_w_m2k,
        as_it_is=cavity if differs else None,
        density=found.density if differs else None,
        thermal=heat if differs else None,
        apart=apart,
    )
