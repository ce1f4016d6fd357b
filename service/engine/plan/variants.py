"""The same job with one cavity filled to another density of its window: mass, bags, hours and price."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from service.engine.geometry.compartments import parts
from service.engine.ground.shapes import Hours, KgPerM3, Kilograms
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.density import Window
from service.engine.plan.options import rates_of
from service.engine.plan.pricing import price
from service.engine.plan.quantities import bags, dense_mass_kg, filled_volume_m3, ordered_of_planned
from service.engine.plan.takeoff import Worked, ordered_kg
from service.engine.survey.cavity import Cavity

STEPS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """The whole job if one of its cavities were filled to `target_kg_m3`."""

    target_kg_m3: Annotated[KgPerM3, "the cavity's density"]
    mass_kg: Annotated[Kilograms, "material for the whole job"]
    bags: Annotated[int, "bags to order"]
    hours: Annotated[Hours, "hours of the whole job"]
    net: Annotated[Decimal, "price before tax"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Densities:
    """What each density of a cavity's window would make of the job."""

    label: Annotated[str, "the cavity"]
    steps: Annotated[tuple[Variant, ...], "densities of its window, rising"]


def densities(*, worked: Worked) -> tuple[Densities, ...]:
    """For every dense cavity of a takeoff, the job over that cavity's density window.

    Everything else stays as it was planned, the method too; an open blow has no
    window and no row.
    """
    return tuple(
        Densities(label=planned.label, steps=_steps(worked, surveyed, planned, planned.density))
        for surveyed, planned in zip(worked.building.cavities, worked.found.cavities, strict=True)
        if planned.density
    )


def targets_kg_m3(*, window: Window) -> tuple[float, ...]:
    """Densities to compare, rising: evenly from lowest to highest, and the target."""
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
    shares = (step / (STEPS - 1) for step in range(STEPS))
    evenly = {lowest * (1 - share) + highest * share for share in shares}
    return tuple(sorted(evenly | {window.target_kg_m3.value}))


def _steps(worked: Worked, surveyed: Cavity, planned: CavityTakeoff, window: Window) -> tuple[Variant, ...]:
    filled_m3 = filled_volume_m3(
        cavity=surveyed,
        geometry=planned.geometry,
        parts=parts(cavity=surveyed),
        practice=worked.practice,
    )
    kg_h = rates_of(practice=worked.practice, method=planned.fill_plan.method).kg_h
    more_kg = {
        target: dense_mass_kg(target_kg_m3=target, filled_m3=filled_m3) - planned.mass_kg
        for target in targets_kg_m3(window=window)
    }
    method = planned.fill_plan.method
    rate = ordered_of_planned(element=surveyed.element, method=method, practice=worked.practice)
    return tuple(_variant(worked, target, more, more / kg_h, more * rate) for target, more in more_kg.items())


def _variant(
    worked: Worked, target_kg_m3: float, more_kg: float, more_h: float, more_ordered_kg: float
) -> Variant:
    found, material, practice = worked.found, worked.material, worked.practice
    mass_kg = found.mass_kg + more_kg
    taken_kg = ordered_kg(cavities=found.cavities, practice=practice) + more_ordered_kg
    return Variant(
        target_kg_m3=target_kg_m3,
        mass_kg=mass_kg,
        bags=bags(mass_kg=taken_kg, bag_kg=material.bag_kg, waste_percent=practice.waste_percent),
        hours=found.crew_hours + more_h,
        net=price(
            price_list=worked.price_list,
            currency=found.price.currency,
            priced_on=worked.price_list.in_force_from,
            material_code=material.code,
            mass_kg=mass_kg,
            blowing_hours=found.blowing_hours + more_h,
            holes=found.holes,
            patches=found.patches,
            tape_m=found.tape_m,
            strip_m=found.strip_m,
            samples=found.samples,
            travel_km=worked.building.travel_km,
            extras=worked.building.extras,
            sale=worked.building.sale,
        ).net,
    )
