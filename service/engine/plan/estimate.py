"""An estimate before the survey: what a building may take, by the firm's usual framing.

Every case that the firm's usual sizes allow is worked out as a survey would be; the estimate is
the range of what comes out. So it rests on the same arithmetic, and on nothing but what is said.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Annotated

from service.engine.ground.messages import Message, Quantity, Value, message
from service.engine.ground.shapes import Millimetres, SquareMetres, Unit
from service.engine.ground.vocabulary import Element
from service.engine.plan.presumed import cavity_of
from service.engine.plan.price_list import ExtraOrder, PriceList
from service.engine.plan.takeoff import Building, Takeoff, takeoff
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Material, Practice
from service.engine.survey.usual import UsualFraming, cases
from service.errors import Fault, InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a building as it is told on the telephone: its area less windows and doors."""

    element: Annotated[Element, "the part of the envelope that it is"]
    area_m2: Annotated[SquareMetres, "area to be insulated, less openings"]
    depth_mm: Annotated[Millimetres, "depth of the fill; of an open blow once it has settled"]
    label_r: Annotated[float | None, Unit("ft2 h F/Btu"), "row of the label chart for an open blow"] = None
    label: Annotated[str | None, "its name; numbered where none is given"] = None
    framing: Annotated[str | None, "which of the firm's usual framings; the first that fits"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Between:
    """A figure that is not known yet: what it usually is, and between what it lies."""

    least: Annotated[float, Unit(""), "at least, in its unit"]
    usual: Annotated[float, Unit(""), "as a rule, in its unit"]
    most: Annotated[float, Unit(""), "at most, in its unit"]
    unit: Annotated[str, "its unit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AmountBetween:
    """An amount that is not known yet."""

    least: Annotated[Decimal, "at least"]
    usual: Annotated[Decimal, "as a rule"]
    most: Annotated[Decimal, "at most"]
    currency: Annotated[str, "ISO 4217 code"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartEstimate:
    """What a part may take."""

    label: Annotated[str, "the part"]
    element: Annotated[Element, "the part of the envelope that it is"]
    area_m2: Annotated[SquareMetres, "area to be insulated, as told"]
    depth_mm: Annotated[Millimetres, "depth, as told"]
    framing: Annotated[str, "the firm's usual framing that it rests on"]
    mass_kg: Annotated[Between, "material to fill it"]
    hours: Annotated[Between, "hours without set-up and cleaning"]
    rests_on: Annotated[Message, "what was taken for granted of it"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What a building may take, before anybody has surveyed it. It is no offer."""

    parts: Annotated[tuple[PartEstimate, ...], "the parts, as they were told"]
    mass_kg: Annotated[Between, "material for the whole building"]
    bags: Annotated[Between, "bags to order, with waste"]
    crew_hours: Annotated[Between, "all hours on site"]
    net: Annotated[AmountBetween, "price before tax"]
    total: Annotated[AmountBetween, "price with tax"]
    price_list: Annotated[str, "code of the price list"]
    practice: Annotated[str, "code of the practice profile"]
    material: Annotated[str, "code of the material"]
    needs: Annotated[tuple[Message, ...], "what must be done before anything is offered"]


def framings_of(*, parts: Sequence[Part], practice: Practice) -> tuple[UsualFraming, ...]:
    """The usual framing of each part; raises InvalidInput at `/parts/0/framing` where there is none."""
    found = [_framing(part, practice) for part in parts]
    lacking = [index for index, framing in enumerate(found) if framing is None]
    if lacking:
        raise InvalidInput(*(_no_framing(index, parts[index], practice) for index in lacking))
    return tuple(framing for framing in found if framing)


def _framing(part: Part, practice: Practice) -> UsualFraming | None:
    fitting = (each for each in practice.usual if each.fits(element=part.element, depth_mm=part.depth_mm))
    return next((each for each in fitting if part.framing in (None, each.name)), None)


def _no_framing(index: int, part: Part, practice: Practice) -> Fault:
    known = tuple(each.name for each in practice.usual if each.element is part.element)
    if not known:
        said = message("plan.no_usual_framing", practice=practice.code, element=part.element)
        return Fault(f"/parts/{index}/element", said)
    depth = Quantity(part.depth_mm, "mm")
    said = message("plan.usual_framing_does_not_fit", practice=practice.code, depth=depth, known=known)
    return Fault(f"/parts/{index}/{'framing' if part.framing else 'depth_mm'}", said)


def presumed(*, parts: Sequence[Part], practice: Practice) -> tuple[Cavity, ...]:
    """The parts as cavities of the usual sizes, for a draft that somebody has yet to survey."""
    framings = framings_of(parts=parts, practice=practice)
    return _cavities(parts, framings, 0)


def _cavities(parts: Sequence[Part], framings: Sequence[UsualFraming], which: int) -> tuple[Cavity, ...]:
    return tuple(
        cavity_of(
            label=label_of(part, index),
            area_m2=part.area_m2,
            depth_mm=part.depth_mm,
            label_r=part.label_r,
            framing=framing,
            case=cases(framing=framing)[which],
        )
        for index, (part, framing) in enumerate(zip(parts, framings, strict=True))
    )


def label_of(part: Part, index: int) -> str:
    """The name of a part: its own, or its place in the list."""
    return part.label or f"P{index + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Buildings:
    """The building in each of its cases, all parts alike: the first is the usual one."""

    parts: tuple[Part, ...]
    framings: tuple[UsualFraming, ...]
    travel_km: float
    extras: tuple[ExtraOrder, ...]

    def of(self, which: int) -> Building:
        """One of them."""
        cavities = _cavities(self.parts, self.framings, which)
        return Building(cavities=cavities, travel_km=self.travel_km, extras=self.extras)


def estimate(
    *,
    parts: tuple[Part, ...],
    material: Material,
    practice: Practice,
    lances: tuple[Lance, ...],
    price_list: PriceList,
    currency: str,
    priced_on: date,
    travel_km: float = 0.0,
    extras: tuple[ExtraOrder, ...] = (),
) -> Estimate:
    """What parts may take; raises InvalidInput at `/parts/0` where one has no usual framing or cannot be."""
    framings = framings_of(parts=parts, practice=practice)
    building = _Buildings(parts=parts, framings=framings, travel_km=travel_km, extras=extras)
    try:
        found = [
            takeoff(
                building=building.of(which),
                material=material,
                practice=practice,
                lances=lances,
                price_list=price_list,
                currency=currency,
                priced_on=priced_on,
            )
            for which in range(len(cases(framing=framings[0])))
        ]
    except InvalidInput as error:
        raise _of_parts(error) from None
    return Estimate(
        parts=tuple(_part(index, part, framings[index], found) for index, part in enumerate(parts)),
        mass_kg=_between([each.mass_kg for each in found], "kg"),
        bags=_between([each.bags for each in found], "bag"),
        crew_hours=_between([each.crew_hours for each in found], "h"),
        net=_amount([each.price.net for each in found], currency),
        total=_amount([each.price.total for each in found], currency),
        price_list=price_list.code,
        practice=practice.code,
        material=material.code,
        needs=(message("plan.estimate_needs_survey"),),
    )


def _of_parts(error: InvalidInput) -> InvalidInput:
    """Faults of the presumed cavities where their parts were told, each once: sizes are nobody's own."""
    told = [_told(fault) for fault in error.faults]
    return InvalidInput(*dict.fromkeys(told))


def _told(fault: Fault) -> Fault:
    match fault.pointer.split("/"):
        case ["", "cavities", index, "label" | "label_r" as member]:
            return Fault(f"/parts/{index}/{member}", fault.detail)
        case ["", "cavities", index, *_]:
            return Fault(f"/parts/{index}", fault.detail)
    return fault


def _part(index: int, part: Part, framing: UsualFraming, found: Sequence[Takeoff]) -> PartEstimate:
    lines = [each.cavities[index] for each in found]
    return PartEstimate(
        label=label_of(part, index),
        element=part.element,
        area_m2=part.area_m2,
        depth_mm=part.depth_mm,
        framing=framing.name,
        mass_kg=_between([line.mass_kg for line in lines], "kg"),
        hours=_between([line.fill_plan.hours for line in lines], "h"),
        rests_on=_rests_on(framing),
    )


def _rests_on(framing: UsualFraming) -> Message:
    sizes: dict[str, Value] = {
        "framing": framing.name,
        "span_least": Quantity(framing.span_m.least, "m"),
        "span_most": Quantity(framing.span_m.most, "m"),
        "spacing_least": Quantity(framing.spacing_mm.least, "mm"),
        "spacing_most": Quantity(framing.spacing_mm.most, "mm"),
    }
    openings = framing.openings_percent
    if openings is None:
        return message("plan.estimate_rests_on", **sizes)
    return message(
        "plan.estimate_rests_on_openings",
        **sizes,
        openings_least=Quantity(openings.least, "%"),
        openings_most=Quantity(openings.most, "%"),
    )


def _between(values: Sequence[float], unit: str) -> Between:
    """The first is the usual one."""
    return Between(least=min(values), usual=values[0], most=max(values), unit=unit)


def _amount(values: Sequence[Decimal], currency: str) -> AmountBetween:
    return AmountBetween(least=min(values), usual=values[0], most=max(values), currency=currency)
