"""What was planned for a cavity, as the assessment needs it, and the spaces that fill is balanced over."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import fsum

from service.engine.geometry.compartments import Compartment, bays_of, meeting
from service.engine.geometry.geometry import Geometry
from service.engine.geometry.sensitivity import Depths
from service.engine.ground.messages import Message, message
from service.engine.ground.uncertainty import Measured
from service.engine.plan.density import Window
from service.engine.plan.holes import Hole
from service.engine.plan.openblow import OpenBlow
from service.engine.site.materials import Materials
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice
from service.engine.survey.uncertainties import SizeErrors

UNPLACED = message("site.opening_without_place")
NO_BAY_NAMED = message("site.bays_noted_together")
OVER_ONE_ANOTHER = message("site.parts_of_a_bay_together")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A cavity with its geometry, and the window of a dense fill or the plan of an open blow.

    `holes` are the entry holes planned, `hole_list` where they sit. `sizes` and `depths` are the
    half-widths of a cavity some of whose sizes were measured on site after the survey; None takes
    those of the survey. A part that a supplement brought, or took away, is `agreed` once the supplement is
    accepted or taken over; `supplement` is its number. `unfit` says why no density suits the cavity as
    it was found: the window is then the quote's.
    """

    cavity: Cavity
    geometry: Geometry
    compartments: tuple[Compartment, ...]
    density: Window | None
    open_blow: OpenBlow | None
    holes: int
    hole_list: tuple[Hole, ...] = ()
    sizes: SizeErrors | None = None
    depths: Depths | None = None
    supplement: str | None = None
    agreed: bool = True
    unfit: Message | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bag:
    """What the bags of one material weigh in kilograms: the mean, and their spread from bag to bag."""

    mean: Measured
    spread_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What all evidence is judged on: the bags of each material by its code, and the practice."""

    materials: Materials
    bags: Mapping[str, Bag]
    practice: Practice

    def bag(self, material: str | None) -> Bag:
        """A bag of a material; one like those of the offer where nobody says which."""
        return self.bags.get(material or "") or self.bags[self.materials.offered]


@dataclass(frozen=True, slots=True, kw_only=True)
class BalancedSpace:
    """The bays that one mass balance covers; `net_volume_m3` is of one of the identical cavities.

    In a `shared` space the kilograms say nothing of a single bay; `note` says why where
    fill does not move between all of its bays or parts, and `apart` which of them it moves between.
    `noted_together` are bays closed off from one another whose kilograms are known in sum
    only: their mean is one, and no bay's density is claimed. `bays_known` is false where nobody
    counted the bays, which are then one.
    """

    label: str
    bays: tuple[int, ...]
    net_volume_m3: float
    shared: bool
    note: Message | None = None
    apart: tuple[tuple[int, ...], ...] = ()
    noted_together: bool = False
    bays_known: bool = True


def spaces(*, planned: Planned, bays_named: bool) -> tuple[BalancedSpace, ...]:
    """The spaces of a cavity: its compartments, those that meet in a bay taken together.

    Fills name a bay, not a part of it. Where some fill names none (`bays_named`
    false) and the cavity has several such spaces, only the whole can be balanced.
    """
    groups = meeting(compartments=planned.compartments)
    if len(groups) > 1 and not bays_named:
        return (replace(as_one_space(planned=planned), note=NO_BAY_NAMED, noted_together=True),)
    return tuple(_met(group, _space(planned, group, _label(planned, group))) for group in groups)


def as_one_space(*, planned: Planned) -> BalancedSpace:
    """All compartments of a cavity as one space; there is at least one."""
    return _space(planned, planned.compartments, planned.cavity.label)


def _met(group: tuple[Compartment, ...], space: BalancedSpace) -> BalancedSpace:
    """A space with a word where it has parts that no fill moves between: its density is their mean."""
    return replace(space, note=space.note or OVER_ONE_ANOTHER) if len(group) > 1 else space


def _label(planned: Planned, group: tuple[Compartment, ...]) -> str:
    bays = bays_of(compartments=group)
    if len(group) == 1:
        return group[0].label
    if len(bays) == planned.geometry.bays:
        return planned.cavity.label
    return f"{planned.cavity.label}/{bays[0]}" + (f"-{bays[-1]}" if len(bays) > 1 else "")


def _space(planned: Planned, group: tuple[Compartment, ...], label: str) -> BalancedSpace:
    bays = bays_of(compartments=group)
    closed = any(each.shared and not each.open_throughout for each in group)
    return BalancedSpace(
        label=label,
        bays=bays,
        net_volume_m3=fsum(each.net_volume_m3 for each in group),
        shared=len(bays) > 1,
        note=UNPLACED if closed else None,
        apart=_apart(bays, group) if closed else (),
        bays_known=planned.geometry.bays_known,
    )


def _apart(bays: tuple[int, ...], group: tuple[Compartment, ...]) -> tuple[tuple[int, ...], ...]:
    joined = [of for each in group for of in each.spills]
    alone = set(bays).difference(*joined)
    return tuple(sorted((*joined, *((bay,) for bay in alone))))
