"""The takeoff: everything that follows from a building, cavity by cavity and for the whole."""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date
from importlib.metadata import version
from itertools import islice, zip_longest
from typing import Annotated, Any

from service.engine.ground.formula import Formula
from service.engine.ground.messages import message, word
from service.engine.ground.shapes import Hours, Kilograms, Metres
from service.engine.ground.turns import in_turns
from service.engine.ground.vocabulary import Method, Standing
from service.engine.ground.working import Working
from service.engine.plan.cavity_takeoff import Basis, CavityTakeoff, steps
from service.engine.plan.filling import FillPlan
from service.engine.plan.hold_points import HoldPoint, hold_points
from service.engine.plan.hours import job_hours
from service.engine.plan.price import Price
from service.engine.plan.price_list import ExtraOrder, PriceList
from service.engine.plan.pricing import price
from service.engine.plan.quantities import bags, ordered_of_planned
from service.engine.plan.sale import PLAIN, Sale
from service.engine.plan.undeclared import Undeclared, undeclared
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Material, Practice
from service.engine.survey.single import label_faults
from service.errors import Fault, InvalidInput

ENGINE = version("baywright")
AT_ONCE = 25  # cavities whose steps are taken in turns; more at once take no less time

TOTAL = Formula(
    code="total",
    expression="sum(each)",
    source="each cavity's figure is of all its identical ones",
    standing=Standing.DERIVED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Building:
    """What was surveyed: the cavities, the age of the house (None: unknown) and what else is ordered."""

    cavities: tuple[Cavity, ...]
    built_year: int | None = None
    travel_km: float = 0.0
    extras: tuple[ExtraOrder, ...] = ()
    sale: Sale = PLAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """What the whole of a building takes, and `engine`, the version of the engine that did it.

    `crew_hours` are all hours on site, `blowing_hours` those charged by the hour.
    """

    mass_kg: Annotated[Kilograms, "material for the whole building"]
    bags: Annotated[int, "bags to order, with waste"]
    holes: Annotated[int, "holes to make"]
    patches: Annotated[int, "patches to set"]
    tape_m: Annotated[Metres, "tape"]
    strip_m: Annotated[Metres, "dividing strip"]
    samples: Annotated[int, "samples to take"]
    crew_hours: Annotated[Hours, "all hours on site"]
    blowing_hours: Annotated[Hours, "hours that are charged by the hour"]
    undeclared: Annotated[
        tuple[Undeclared, ...], "figures that a certificate would rest on and nobody vouches for"
    ]
    engine: Annotated[str, "version of the engine"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff(Totals):
    """A building worked out."""

    cavities: Annotated[tuple[CavityTakeoff, ...], "the cavities, as they were posted"]
    hold_points: Annotated[tuple[HoldPoint, ...], "what must be answered before and after filling"]
    price: Annotated[Price, "the price by its lines"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """A takeoff and what it was worked out from; `workings` only where an explanation is asked for."""

    building: Building
    found: Takeoff
    material: Material
    practice: Practice
    price_list: PriceList
    lances: tuple[Lance, ...]
    workings: tuple[Working, ...] = ()


def takeoff(
    *,
    building: Building,
    material: Material,
    practice: Practice,
    lances: tuple[Lance, ...],
    price_list: PriceList,
    currency: str,
    priced_on: date,
    workings: tuple[Working, ...] = (),
) -> Takeoff:
    """Work out a building; where `workings` are handed in, one for each cavity, they keep how.

    Raises InvalidInput with every fault of every cavity, each pointer beginning
    `/cavities/0`, and those of the price; at `/practice` where it cannot be worked by.
    """
    _refuse(practice)
    cavities = _every(building.cavities, material, practice, lances, workings)
    points = hold_points(cavities=building.cavities, practice=practice, built_year=building.built_year)
    lacking = undeclared(practice=practice, material=material, cavities=building.cavities, hold_points=points)
    totals = _totals(cavities, material, practice, lacking)
    return Takeoff(
        **_fields(totals),
        cavities=cavities,
        hold_points=points,
        price=price(
            price_list=price_list,
            currency=currency,
            priced_on=priced_on,
            material_code=material.code,
            mass_kg=totals.mass_kg,
            blowing_hours=totals.blowing_hours,
            holes=totals.holes,
            patches=totals.patches,
            tape_m=totals.tape_m,
            strip_m=totals.strip_m,
            samples=totals.samples,
            travel_km=building.travel_km,
            extras=building.extras,
            sale=building.sale,
            area_m2=sum(each.geometry.net_area_m2 for each in cavities),
        ),
    )


def _fields(totals: Totals) -> dict[str, Any]:
    return {field.name: getattr(totals, field.name) for field in fields(Totals)}


def _totals(
    cavities: tuple[CavityTakeoff, ...],
    material: Material,
    practice: Practice,
    lacking: tuple[Undeclared, ...],
) -> Totals:
    mass_kg = sum(each.mass_kg for each in cavities)
    samples = sum(each.samples for each in cavities)
    plans = [each.fill_plan for each in cavities]
    return Totals(
        mass_kg=mass_kg,
        bags=bags(
            mass_kg=ordered_kg(cavities=cavities, practice=practice),
            bag_kg=material.bag_kg,
            waste_percent=practice.waste_percent,
        ),
        holes=sum(plan.holes for plan in plans),
        patches=sum(plan.patches for plan in plans),
        tape_m=sum(plan.tape_m for plan in plans),
        strip_m=sum(plan.strip_m for plan in plans),
        samples=samples,
        crew_hours=job_hours(
            cavities_h=(plan.hours for plan in plans), samples=samples, rates=practice.rates
        ),
        blowing_hours=_blowing_h(plans, practice),
        undeclared=lacking,
        engine=ENGINE,
    )


def ordered_kg(*, cavities: Iterable[CavityTakeoff], practice: Practice) -> float:
    """What is ordered for these cavities, without waste: as planned, or by what the firm's own parts took."""
    if not practice.experience:
        return sum(each.mass_kg for each in cavities)
    return sum(
        each.mass_kg
        * ordered_of_planned(element=each.element, method=each.fill_plan.method, practice=practice)
        for each in cavities
    )


def _refuse(practice: Practice) -> None:
    faults = []
    if lacking := set(Method) - {rates.method for rates in practice.rates.methods}:
        faults.append(
            Fault(
                "/practice",
                message("plan.no_rates", methods=tuple(word(method) for method in sorted(lacking))),
            )
        )
    if practice.patching.lap_mm >= practice.patching.roll_mm:
        faults.append(Fault("/practice", message("plan.tape_laps_its_width")))
    if faults:
        raise InvalidInput(*faults)


def _every(
    cavities: tuple[Cavity, ...],
    material: Material,
    practice: Practice,
    lances: tuple[Lance, ...],
    workings: tuple[Working, ...],
) -> tuple[CavityTakeoff, ...]:
    faults = list(label_faults(cavities=cavities))
    found: list[CavityTakeoff] = []
    basis = Basis(material=material, practice=practice, lances=lances)
    rows = enumerate(zip_longest(cavities, workings))
    while lot := list(islice(rows, AT_ONCE)):
        works = (steps(cavity=cavity, basis=basis, working=working) for _, (cavity, working) in lot)
        for (index, _), made in zip(lot, in_turns(works), strict=True):
            if isinstance(made, InvalidInput):
                faults.extend(made.under(f"/cavities/{index}").faults)
            else:
                found.append(made)
    if faults:
        raise InvalidInput(*faults)
    return tuple(found)


def _blowing_h(plans: list[FillPlan], practice: Practice) -> float:
    """Hours charged by the hour: those of the cavities less what is charged by the piece."""
    rates = practice.rates
    return sum(plan.hours - plan.holes * rates.hole_h - plan.patches * rates.patch_h for plan in plans)
