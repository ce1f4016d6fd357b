"""The same job with one cavity filled to another density of its window: mass, bags, hours and price."""

from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Annotated

from service.engine.geometry.compartments import parts_of
from service.engine.geometry.plane import plane
from service.engine.ground.known import Known
from service.engine.ground.shapes import Hours, KgPerM3, Kilograms
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.density import Window
from service.engine.plan.options import rates_of
from service.engine.plan.pricing import price
from service.engine.plan.proof import proof_plan
from service.engine.plan.quantities import (
    bags,
    bulging_m2,
    dense_mass_kg,
    filled_volume_m3,
    ordered_of_planned,
)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    """What another density of one cavity makes of the job: so much more of each, or less."""

    mass_kg: float
    ordered_kg: float
    blowing_hours: float
    samples: int


def densities(*, worked: Worked) -> tuple[Densities, ...]:
    """For every dense cavity of a takeoff, the job over that cavity's density window.

    Its proof is planned anew: nearer a limit it takes more samples. Everything else stays as it
    was planned, the method too; an open blow has no window and no row.
    """
    known = Known()
    return tuple(
        Densities(label=planned.label, steps=_steps(worked, surveyed, planned, planned.density, known))
        for surveyed, planned in zip(worked.building.cavities, worked.found.cavities, strict=True)
        if planned.density
    )


def targets_kg_m3(*, window: Window) -> tuple[float, ...]:
    """Densities to compare, rising: evenly from lowest to highest, and the target."""
    lowest, highest = window.lowest_kg_m3.value, window.highest_kg_m3.value
    shares = (step / (STEPS - 1) for step in range(STEPS))
    evenly = {lowest * (1 - share) + highest * share for share in shares}
    return tuple(sorted(evenly | {window.target_kg_m3.value}))


def _steps(
    worked: Worked, surveyed: Cavity, planned: CavityTakeoff, window: Window, known: Known
) -> tuple[Variant, ...]:
    laid_out, practice = plane(cavity=surveyed), worked.practice
    pieces = parts_of(laid_out=laid_out)
    facing_m2 = bulging_m2(cavity=surveyed, parts=pieces, practice=practice)
    filled_m3 = filled_volume_m3(cavity=surveyed, geometry=planned.geometry, parts=pieces, practice=practice)
    method = planned.fill_plan.method
    kg_h = rates_of(practice=practice, method=method).kg_h
    rate = ordered_of_planned(element=surveyed.element, method=method, practice=practice)

    def change(target_kg_m3: float) -> _Change:
        more_kg = dense_mass_kg(target_kg_m3=target_kg_m3, filled_m3=filled_m3) - planned.mass_kg
        proof = proof_plan(
            laid_out=laid_out,
            compartments=planned.compartments,
            facing_m2=facing_m2,
            window=replace(window, target_kg_m3=replace(window.target_kg_m3, value=target_kg_m3)),
            material=worked.material,
            practice=practice,
            known=known,
        )
        samples = surveyed.count * proof.samples - planned.samples
        return _Change(
            mass_kg=more_kg, ordered_kg=more_kg * rate, blowing_hours=more_kg / kg_h, samples=samples
        )

    return tuple(_variant(worked, target, change(target)) for target in targets_kg_m3(window=window))


def _variant(worked: Worked, target_kg_m3: float, more: _Change) -> Variant:
    found, material, practice = worked.found, worked.material, worked.practice
    mass_kg = found.mass_kg + more.mass_kg
    taken_kg = ordered_kg(cavities=found.cavities, practice=practice) + more.ordered_kg
    return Variant(
        target_kg_m3=target_kg_m3,
        mass_kg=mass_kg,
        bags=bags(mass_kg=taken_kg, bag_kg=material.bag_kg, waste_percent=practice.waste_percent),
        hours=found.crew_hours + more.blowing_hours + more.samples * practice.rates.sample_h,
        net=price(
            price_list=worked.price_list,
            currency=found.price.currency,
            priced_on=worked.price_list.in_force_from,
            material_code=material.code,
            mass_kg=mass_kg,
            blowing_hours=found.blowing_hours + more.blowing_hours,
            holes=found.holes,
            patches=found.patches,
            tape_m=found.tape_m,
            strip_m=found.strip_m,
            samples=found.samples + more.samples,
            travel_km=worked.building.travel_km,
            extras=worked.building.extras,
            sale=worked.building.sale,
        ).net,
    )
