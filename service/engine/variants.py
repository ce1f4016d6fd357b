"""The same building with one cavity filled to another density: mass, bags, hours and price."""

from dataclasses import dataclass
from decimal import Decimal

from service.engine.compartments import parts
from service.engine.density import Window
from service.engine.practice import Material, Practice
from service.engine.pricing import PriceList, price
from service.engine.quantities import dense_mass_kg, filled_volume_m3
from service.engine.takeoff import Building, CavityTakeoff, Takeoff
from service.engine.whatif import WhatIf, what_if


@dataclass(frozen=True, slots=True, kw_only=True)
class Densities:
    """What each density of a cavity's window would make of the job."""

    label: str
    steps: tuple[WhatIf, ...]


def densities(
    *,
    building: Building,
    found: Takeoff,
    material: Material,
    practice: Practice,
    price_list: PriceList,
) -> tuple[Densities, ...]:
    """For every dense cavity of a takeoff, the job over that cavity's density window.

    Everything else stays as it was planned; an open blow has no window and no row.
    """
    return tuple(
        Densities(
            label=planned.label,
            steps=_steps(building, found, index, planned.density, material, practice, price_list),
        )
        for index, planned in enumerate(found.cavities)
        if planned.density
    )


def _steps(
    building: Building,
    found: Takeoff,
    index: int,
    window: Window,
    material: Material,
    practice: Practice,
    price_list: PriceList,
) -> tuple[WhatIf, ...]:
    surveyed, planned = building.cavities[index], found.cavities[index]
    kg_h = _rate_kg_h(planned, practice)

    filled_m3 = filled_volume_m3(
        cavity=surveyed, geometry=planned.geometry, parts=parts(cavity=surveyed), practice=practice
    )

    def mass_at(target_kg_m3: float) -> float:
        mass_kg = dense_mass_kg(target_kg_m3=target_kg_m3, filled_m3=filled_m3)
        return found.mass_kg - planned.mass_kg + mass_kg

    def net_at(mass_kg: float, hours: float) -> Decimal:
        return price(
            price_list=price_list,
            currency=found.price.currency,
            priced_on=price_list.in_force_from,
            material_code=material.code,
            mass_kg=mass_kg,
            blowing_hours=found.blowing_hours + hours - found.crew_hours,
            holes=found.holes,
            patches=found.patches,
            tape_m=found.tape_m,
            strip_m=found.strip_m,
            samples=found.samples,
            travel_km=building.travel_km,
            extras=building.extras,
        ).net

    return what_if(
        window=window,
        mass_at=mass_at,
        hours_at=lambda mass_kg: found.crew_hours + (mass_kg - found.mass_kg) / kg_h,
        net_at=net_at,
        bag_kg=material.bag_kg,
        waste_percent=practice.waste_percent,
    )


def _rate_kg_h(planned: CavityTakeoff, practice: Practice) -> float:
    method = planned.fill_plan.method
    return next(each.kg_h for each in practice.rates.methods if each.method is method)
