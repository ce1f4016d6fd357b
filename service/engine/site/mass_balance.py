"""Density by mass balance: kilograms blown over the volume they fill, with its uncertainty.

The volume's uncertainty is worked out from its parts instead of by computing the
geometry again for each input. Width and length enter as relative terms, for the
net area is proportional to both as long as timber and openings keep their share;
depth, members, openings and an assumed timber fraction enter with the areas and
depths they act on. Every layer's depth is an input of its own. Identical
cavities were measured once, so their errors are one and the same.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import fsum, hypot
from statistics import fmean

from service.engine.geometry.compartments import Part
from service.engine.geometry.geometry import Geometry
from service.engine.geometry.layout import upright
from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, Share, rectangular, total
from service.engine.ground.vocabulary import Runs, Standing
from service.engine.plan.quantities import bulge_volume_m3, clear_facing_m2, expected_bulge_mm
from service.engine.site.bag_mass import counted, weighed
from service.engine.site.entries import Fill
from service.engine.site.planned import Basis, Planned, Space
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice
from service.engine.survey.uncertainties import Uncertainties

MASS_BALANCE = Formula(
    code="mass_balance",
    name="Mass balance",
    expression="(blown_kg - removed_kg) / (net_volume_m3 + bulge_volume_m3)",
    source="definition of density; EN 15101-2 annex B has this subject",
    standing=Standing.DERIVED,
)

FORMULAS = (MASS_BALANCE,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulge:
    """A facing's bulge at mid-bay, within +- `half_mm`; not `measured` where only expected."""

    bulge_mm: float
    half_mm: float
    measured: bool


def net_blown(*, fills: tuple[Fill, ...], basis: Basis) -> Measured:
    """Net mass of fills in kilograms: weighed or counted, less what was taken out.

    What was taken out is weighed in another vessel with another tare: its scale
    error is let add to that of what was blown, it must not cancel.
    """
    return total(part for fill in fills for part in _parts(fill, basis))


def bulge(*, fills: tuple[Fill, ...], cavity: Cavity, practice: Practice) -> Bulge:
    """The bulge of a space: the last measurement in each bay, their mean; `fills` are in order.

    Without any, what the practice profile expects of the facing, taken to be
    anything from nothing to twice that.
    """
    last = {fill.bay: fill.bulge_mm for fill in fills if fill.bulge_mm is not None}
    if last:
        return Bulge(
            bulge_mm=fmean(last.values()), half_mm=practice.uncertainties.bulge_half_mm, measured=True
        )
    expected_mm = expected_bulge_mm(facing=cavity.facing, practice=practice)
    return Bulge(bulge_mm=expected_mm, half_mm=expected_mm, measured=False)


def volume(*, planned: Planned, space: Space, uncertainties: Uncertainties) -> Measured:
    """Net volume of a space in m3, in all identical cavities together, without bulge."""
    cavity, geometry = upright(cavity=planned.cavity), planned.geometry
    part = space.net_volume_m3 * cavity.count / geometry.net_volume_m3
    length = rectangular(half=uncertainties.length_half_mm / 1000) / cavity.span_m
    shares = (
        _width(cavity, geometry, space, uncertainties),
        Share(name="length", of="length", u=space.net_volume_m3 * length),
        *_depths(geometry, space, uncertainties),
        *(share.scaled(part) for share in _timber(cavity, geometry, space, uncertainties)),
        *(share.scaled(part) for share in _openings(cavity, uncertainties)),
    )
    return Measured(value=space.net_volume_m3, shares=shares).scaled(cavity.count)


def bulge_volume(*, planned: Planned, space: Space, bulge: Bulge, parts: tuple[Part, ...]) -> Measured:
    """Volume in m3 that the bulge adds to a space, in all identical cavities together.

    `parts` are those of one whole cavity.
    """
    found = (part for part in parts if part.bay in space.bays)
    facing_m2 = clear_facing_m2(cavity=planned.cavity, parts=found)
    per_mm = planned.cavity.count * bulge_volume_m3(bulge_mm=1.0, facing_m2=facing_m2)
    share = Share(name="bulge", of="bulge", u=per_mm * rectangular(half=bulge.half_mm))
    return Measured(value=per_mm * bulge.bulge_mm, shares=(share,))


def _parts(fill: Fill, basis: Basis) -> Iterator[Measured]:
    uncertainties = basis.practice.uncertainties
    if fill.bags is not None:
        yield counted(
            bags=fill.bags,
            count_half=uncertainties.bag_count_half,
            bag=basis.bag,
            spread_kg=basis.spread_kg,
            of=fill.id,
        )
    for reading_kg in (fill.mass_kg, -fill.removed_kg):
        if reading_kg:
            yield weighed(reading_kg=reading_kg, uncertainties=uncertainties)


def _width(cavity: Cavity, geometry: Geometry, space: Space, uncertainties: Uncertainties) -> Share:
    width_m, half_mm = cavity.width_m, uncertainties.length_half_mm
    if _between_members(geometry, space):
        width_m, half_mm = geometry.bay_widths_m[space.bays[0] - 1], uncertainties.bay_width_half_mm
    return Share(name="width", of="width", u=space.net_volume_m3 * rectangular(half=half_mm / 1000) / width_m)


def _depths(geometry: Geometry, space: Space, uncertainties: Uncertainties) -> tuple[Share, ...]:
    u_m = rectangular(half=uncertainties.depth_half_mm / 1000)
    filled_m3 = fsum(layer.depth_mm / 1000 * layer.net_area_m2 for layer in geometry.layers)
    return tuple(
        Share(name="depth", of=f"depth {place}", u=space.net_volume_m3 * layer.net_area_m2 * u_m / filled_m3)
        for place, layer in enumerate(geometry.layers)
    )


def _timber(
    cavity: Cavity, geometry: Geometry, space: Space, uncertainties: Uncertainties
) -> Iterator[Share]:
    """Of one whole cavity: an assumed fraction, or the breadth of the members inside the space."""
    gross_m2 = cavity.width_m * cavity.span_m
    filled_m2 = gross_m2 - cavity.openings_m2
    for place, (layer, found) in enumerate(zip(cavity.layers, geometry.layers, strict=True)):
        framing, depth_m = layer.framing, layer.depth_mm / 1000
        if framing is None:
            continue
        if framing.timber_fraction is not None:
            u = (
                uncertainties.timber_fraction_u
                if framing.timber_fraction_u is None
                else framing.timber_fraction_u
            )
            yield Share(name="timber fraction", of=f"timber {place}", u=depth_m * filled_m2 * u)
        elif framing.runs is Runs.ACROSS or not _between_members(geometry, space):
            along_m = cavity.span_m if framing.runs is Runs.ALONG else cavity.width_m
            members_m = found.members * (along_m - framing.plates_mm / 1000) * filled_m2 / gross_m2
            u_m = rectangular(half=uncertainties.member_half_mm / 1000)
            yield Share(name="member breadth", of=f"timber {place}", u=depth_m * members_m * u_m)


def _openings(cavity: Cavity, uncertainties: Uncertainties) -> Iterator[Share]:
    """Of one whole cavity: openings of one kind are alike, and so are their errors."""
    u_m = rectangular(half=uncertainties.length_half_mm / 1000)
    for place, opening in enumerate(cavity.openings):
        u_m2 = opening.count * hypot(opening.width_m, opening.height_m) * u_m
        yield Share(name="openings", of=f"openings {place}", u=cavity.depth_mm / 1000 * u_m2)


def _between_members(geometry: Geometry, space: Space) -> bool:
    """Whether the space is one bay, whose clear width is measured from member to member."""
    return len(space.bays) == 1 and any(layer.members for layer in geometry.layers)
