"""Density by mass balance: kilograms in the walls over the volume they fill, with its uncertainty."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from math import fsum
from statistics import fmean

from service.engine.geometry.compartments import Part, compartments_of
from service.engine.geometry.plane import Plane
from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, total
from service.engine.ground.vocabulary import Standing
from service.engine.plan.volume import Bulge, bulge_volume, net_volume, unsaid_bulge
from service.engine.site.entries import Fill
from service.engine.site.planned import BalancedSpace, Planned
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice

MASS_BALANCE = Formula(
    code="mass_balance",
    expression=(
        "(emptied_kg + in the machine before - in the machine after - its share of spill - taken out) "
        "/ (net_volume_m3 + bulge_volume_m3)"
    ),
    source="definition of density; EN 15101-2 annex B has this subject",
    standing=Standing.DERIVED,
)

FORMULAS = (MASS_BALANCE,)


def bulge(*, fills: tuple[Fill, ...], cavity: Cavity, practice: Practice) -> Bulge:
    """The bulge of a space: the last reading in each bay, their mean; `fills` are in order.

    Without any, half of what the practice profile allows the facing, within as much. Who reads what
    would be taken unsaid knows it no worse for that: a board that does not bulge, say.
    """
    last = {fill.bay: fill.bulge_mm for fill in fills if fill.bulge_mm is not None}
    unsaid = unsaid_bulge(cavity=cavity, practice=practice)
    if not last:
        return unsaid
    found_mm, half_mm = fmean(last.values()), practice.uncertainties.reading.bulge_half_mm
    if abs(found_mm - unsaid.bulge_mm) <= unsaid.half_mm:
        half_mm = min(half_mm, unsaid.half_mm)
    return Bulge(bulge_mm=found_mm, half_mm=half_mm, measured=True)


def volume(*, planned: Planned, space: BalancedSpace, laid_out: Plane, practice: Practice) -> Measured:
    """Net volume of a space in m3, without bulge; the cavity is `laid_out` once for all its spaces.

    Where bays of it took no fill, the rest has its part of what errs in all of it.
    """
    bays, whole_m3 = _whole(space, laid_out)
    net = net_volume(
        laid_out=laid_out,
        bays=bays,
        net_volume_m3=whole_m3,
        errors=practice.uncertainties.survey,
        sizes=planned.sizes,
        depths=planned.depths,
    )
    return net.scaled(space.net_volume_m3 / whole_m3)


def _whole(space: BalancedSpace, laid_out: Plane) -> tuple[Collection[int], float]:
    """The bays and the volume of the compartments that a space is of, bays that took no fill among them."""
    in_bay, bays_of = laid_out.balanced.in_bay, laid_out.balanced.bays
    places = {place for bay in space.bays for place in in_bay.get(bay, ())}
    bays = {bay for place in places for bay in bays_of[place]}
    if bays.issubset(space.bays):
        return space.bays, space.net_volume_m3
    of = [each for each in compartments_of(laid_out=laid_out) if not bays.isdisjoint(each.bays)]
    return bays, fsum(each.net_volume_m3 for each in of)


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room that fill has in a space, in m3: net, and what the facing's bulge adds."""

    bulge: Bulge
    net: Measured
    extra: Measured


def room(
    *,
    planned: Planned,
    space: BalancedSpace,
    fills: tuple[Fill, ...],
    laid_out: Plane,
    parts: tuple[Part, ...],
    practice: Practice,
) -> Room:
    """The room of a space, its bulge as `fills` found it; `parts` are those of the whole cavity."""
    facing = bulge(fills=fills, cavity=planned.cavity, practice=practice)
    extra = bulge_volume(cavity=planned.cavity, bays=space.bays, bulge=facing, parts=parts)
    net = volume(planned=planned, space=space, laid_out=laid_out, practice=practice)
    count = planned.cavity.count  # where a count was not taken apart, its cavities were measured once
    return Room(bulge=facing, net=net.scaled(count), extra=extra.scaled(count))


def density(*, masses: Iterable[Measured], rooms: Iterable[Room]) -> Measured:
    """Density in kg/m3 by mass balance (MASS_BALANCE) of what was blown into several rooms, or one."""
    return total(masses).over(total(each for room in rooms for each in (room.net, room.extra)))
