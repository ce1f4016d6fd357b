"""The short answer: a building's totals, and of each cavity the one line that an office reads.

It repeats what was worked out and works nothing out, but for a cavity's share of the bags.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from service.engine.ground.messages import Message
from service.engine.ground.shapes import (
    CubicMetres,
    Hours,
    KgPerM3,
    Kilograms,
    Millimetres,
    SquareMetres,
    Transmittance,
    Unit,
)
from service.engine.ground.vocabulary import Element, Method
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.price import Price
from service.engine.plan.quantities import bags_taken, ordered_of_planned
from service.engine.plan.takeoff import Totals
from service.engine.survey.practice import Material, Practice


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityLine:
    """A cavity in one line; areas, volumes, masses, hours and holes are of all `count` identical ones."""

    label: Annotated[str, "the cavity"]
    element: Annotated[Element, "the part of the envelope that it belongs to"]
    count: Annotated[int, "how many identical cavities it stands for"]
    net_area_m2: Annotated[SquareMetres, "insulated area: less openings"]
    net_volume_m3: Annotated[CubicMetres, "volume to be filled"]
    depth_mm: Annotated[Millimetres, "depth of all layers; of an open blow once it has settled"]
    mass_kg: Annotated[Kilograms, "material to fill it"]
    bags: Annotated[
        float, Unit(""), "its share of the bags to order, with waste: only the whole is rounded up"
    ]
    target_kg_m3: Annotated[KgPerM3 | None, "target density; null for an open blow, which has none"]
    method: Annotated[Method, "way of filling"]
    hours: Annotated[Hours, "hours without set-up and cleaning"]
    holes: Annotated[int, "holes to make"]
    u_value_w_m2k: Annotated[Transmittance | None, "thermal transmittance; null beyond the method's range"]
    cautions: Annotated[tuple[str, ...], "codes of what the reader must know: the whole's cautions say them"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lined:
    """A cavity's line, and in full what it cautions of."""

    line: CavityLine
    cautions: tuple[Message, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What the reader must know of some cavities, said once for all of them."""

    said: Annotated[Message, "what the reader must know"]
    cavities: Annotated[tuple[str, ...], "labels of the cavities that it is said of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortTakeoff(Totals):
    """A building worked out, in short."""

    cavities: Annotated[tuple[CavityLine, ...], "one line a cavity, as they were posted"]
    cautions: Annotated[tuple[Caution, ...], "each sentence that the lines give the code of"]
    hold_points: Annotated[tuple[str, ...], "codes of what must be answered before and after filling"]
    price: Annotated[Price | None, "the price by its lines; left out for who does not see prices"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionLine:
    """An option of an offer beside the others: what is otherwise in it, what it takes, what it costs."""

    option: Annotated[str, "its number: 1 is what the offer is by itself"]
    text: Annotated[str | None, "what it is, as the office wrote it; null of 1"]
    material: Annotated[str, "code of its material"]
    cavities: Annotated[tuple[CavityLine, ...], "the cavities that are otherwise than in 1, or not in it"]
    without: Annotated[tuple[str, ...], "labels of those of 1 that it leaves out"]
    mass_kg: Annotated[Kilograms, "material of the whole option"]
    bags: Annotated[int, "bags to order for it"]
    crew_hours: Annotated[Hours, "hours of the whole crew by the clock"]
    holes: Annotated[int, "holes to make and to close"]
    price: Annotated[Price, "its price by its lines"]
    more: Annotated[Decimal, "its total less that of 1: below nothing where it costs less"]
    accepted: Annotated[bool, "whether it is the one that was accepted"]


def lined(*, found: CavityTakeoff, material: Material, practice: Practice) -> Lined:
    """The line of a cavity that was worked out."""
    plan, window = found.fill_plan, found.density
    return Lined(
        line=CavityLine(
            label=found.label,
            element=found.element,
            count=found.count,
            net_area_m2=found.geometry.net_area_m2,
            net_volume_m3=found.geometry.net_volume_m3,
            depth_mm=found.geometry.depth_mm,
            mass_kg=found.mass_kg,
            bags=bags_taken(
                mass_kg=found.mass_kg
                * ordered_of_planned(element=found.element, method=plan.method, practice=practice),
                bag_kg=material.bag_kg,
                waste_percent=practice.waste_percent,
            ),
            target_kg_m3=window.target_kg_m3.value if window else None,
            method=plan.method,
            hours=plan.hours,
            holes=plan.holes,
            u_value_w_m2k=found.thermal.u_value_w_m2k,
            cautions=tuple(said.code for said in found.cautions),
        ),
        cautions=found.cautions,
    )
