"""The takeoff: everything that follows from a building, cavity by cavity and for the whole."""

from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from itertools import zip_longest
from typing import Annotated, TypedDict

from service.engine.geometry.cautions import survey_cautions
from service.engine.geometry.compartments import Compartment, Part, compartments_of, parts_of
from service.engine.geometry.geometry import Geometry, measured
from service.engine.geometry.plane import plane
from service.engine.ground.formula import Formula
from service.engine.ground.messages import Message, Quantity, message, word
from service.engine.ground.shapes import Hours, Kilograms, Metres
from service.engine.ground.vocabulary import Element, Method, Standing
from service.engine.ground.working import Working
from service.engine.heat.thermal import Thermal, thermal
from service.engine.plan.density import Window, window
from service.engine.plan.filling import FillPlan, fill_plan
from service.engine.plan.hold_points import HoldPoint, hold_points
from service.engine.plan.hours import job_hours
from service.engine.plan.labels import label_r, unlabelled
from service.engine.plan.loads import Load, loads
from service.engine.plan.openblow import OpenBlow, bags_differ, open_blow
from service.engine.plan.pricing import ExtraOrder, Price, PriceList, price
from service.engine.plan.proof import ProofPlan, proof_plan
from service.engine.plan.quantities import bags, dense_mass_kg, filled_volume_m3
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Material, Practice
from service.engine.survey.single import label_faults
from service.errors import Fault, InvalidInput

ENGINE = version("baywright")

TOTAL = Formula(
    code="total",
    name="Sum over the cavities",
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


@dataclass(frozen=True, slots=True, kw_only=True)
class CavityTakeoff:
    """One cavity worked out: masses, holes and hours are of all `count` identical ones.

    A dense fill has a `density` window, an open blow has `open_blow`; never both.
    """

    label: Annotated[str, "the cavity"]
    element: Annotated[Element, "the part of the envelope that it belongs to"]
    count: Annotated[int, "how many identical cavities it stands for"]
    geometry: Annotated[Geometry, "areas, volumes and bays"]
    compartments: Annotated[tuple[Compartment, ...], "the units of mass balance"]
    density: Annotated[Window | None, "the density window of a dense fill; null for an open blow"]
    open_blow: Annotated[OpenBlow | None, "thicknesses and mass of an open blow; null for a dense fill"]
    mass_kg: Annotated[Kilograms, "material for all the identical cavities"]
    fill_plan: Annotated[FillPlan, "what a crew fills it by"]
    samples: Annotated[int, "samples to take"]
    loads: Annotated[tuple[Load, ...], "the kilograms of each compartment of a dense fill"]
    thermal: Annotated[Thermal, "thermal transmittance"]
    cautions: Annotated[tuple[Message, ...], "what the reader must know"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Totals:
    """What the whole of a building takes. `engine` is the version of the engine that did it.

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


class _Basis(TypedDict):
    material: Material
    practice: Practice
    lances: tuple[Lance, ...]


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

    Raises InvalidInput with every fault found in every cavity, each pointer
    beginning `/cavities/0`, and those of the price; at `/practice` where the profile
    cannot be worked by.
    """
    _refuse(practice)
    cavities = _every(building.cavities, material, practice, lances, workings)
    mass_kg = sum(each.mass_kg for each in cavities)
    samples = sum(each.samples for each in cavities)
    plans = [each.fill_plan for each in cavities]
    crew_hours = job_hours(cavities_h=(plan.hours for plan in plans), samples=samples, rates=practice.rates)
    blowing_hours = _blowing_h(plans, practice)
    holes, patches = sum(plan.holes for plan in plans), sum(plan.patches for plan in plans)
    tape_m, strip_m = sum(plan.tape_m for plan in plans), sum(plan.strip_m for plan in plans)
    return Takeoff(
        cavities=cavities,
        mass_kg=mass_kg,
        bags=bags(mass_kg=mass_kg, bag_kg=material.bag_kg, waste_percent=practice.waste_percent),
        holes=holes,
        patches=patches,
        tape_m=tape_m,
        strip_m=strip_m,
        samples=samples,
        crew_hours=crew_hours,
        blowing_hours=blowing_hours,
        hold_points=hold_points(
            cavities=building.cavities, practice=practice, built_year=building.built_year
        ),
        price=price(
            price_list=price_list,
            currency=currency,
            priced_on=priced_on,
            material_code=material.code,
            mass_kg=mass_kg,
            blowing_hours=blowing_hours,
            holes=holes,
            patches=patches,
            tape_m=tape_m,
            strip_m=strip_m,
            samples=samples,
            travel_km=building.travel_km,
            extras=building.extras,
        ),
        engine=ENGINE,
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
    faults: list[Fault] = []
    found: list[CavityTakeoff] = []
    faults.extend(label_faults(cavities=cavities))
    basis: _Basis = {"material": material, "practice": practice, "lances": lances}
    for index, (cavity, working) in enumerate(zip_longest(cavities, workings)):
        try:
            found.append(cavity_takeoff(cavity=cavity, **basis, working=working))
        except InvalidInput as error:
            faults.extend(error.under(f"/cavities/{index}").faults)
    if faults:
        raise InvalidInput(*faults)
    return tuple(found)


def cavity_takeoff(
    *,
    cavity: Cavity,
    material: Material,
    practice: Practice,
    lances: tuple[Lance, ...],
    working: Working | None = None,
) -> CavityTakeoff:
    """Work out one cavity; raises InvalidInput with pointers relative to it."""
    laid_out = plane(cavity=cavity)
    shape, spaces = measured(laid_out=laid_out), compartments_of(laid_out=laid_out)
    if working:
        working.keep(laid_out)
    pieces = parts_of(laid_out=laid_out)
    density = window(cavity=cavity, material=material, practice=practice)
    open_fill = (
        None
        if density
        else open_blow(cavity=cavity, geometry=shape, material=material, practice=practice, working=working)
    )
    mass_kg = _mass_kg(cavity, shape, pieces, density, open_fill, practice)
    proof = _proof(cavity, spaces, pieces, density, material, practice)
    plan = fill_plan(
        cavity=cavity,
        geometry=shape,
        compartments=spaces,
        parts=pieces,
        mass_kg=mass_kg,
        practice=practice,
        lances=lances,
        proof=proof,
        working=working,
    )
    printed_r = label_r(cavity=cavity, density=density, material=material, market=practice.market)
    heat = thermal(
        cavity=cavity,
        geometry=shape,
        conductivity_w_mk=material.conductivity_w_mk,
        label_r=printed_r,
        working=working,
    )
    warned = density.cautions if density else ()
    if open_fill:
        warned = bags_differ(blow=open_fill, bag_kg=material.bag_kg)
    calculated = unlabelled(cavity=cavity, density=density, label_r=printed_r, market=practice.market)
    return CavityTakeoff(
        label=cavity.label,
        element=cavity.element,
        count=cavity.count,
        geometry=shape,
        compartments=spaces,
        density=density,
        open_blow=open_fill,
        mass_kg=mass_kg,
        fill_plan=plan,
        samples=cavity.count * proof.samples if proof else 0,
        loads=_loads(cavity, spaces, pieces, density, practice),
        thermal=heat,
        cautions=(
            *survey_cautions(cavity=cavity),
            *warned,
            *_unproven(proof),
            *plan.notes,
            *heat.notes,
            *calculated,
        ),
    )


def _blowing_h(plans: list[FillPlan], practice: Practice) -> float:
    """Hours charged by the hour: those of the cavities less what is charged by the piece."""
    rates = practice.rates
    return sum(plan.hours - plan.holes * rates.hole_h - plan.patches * rates.patch_h for plan in plans)


def _proof(
    cavity: Cavity,
    spaces: tuple[Compartment, ...],
    pieces: tuple[Part, ...],
    density: Window | None,
    material: Material,
    practice: Practice,
) -> ProofPlan | None:
    if density is None:
        return None
    return proof_plan(
        cavity=cavity,
        compartments=spaces,
        parts=pieces,
        window=density,
        material=material,
        practice=practice,
    )


def _unproven(proof: ProofPlan | None) -> tuple[Message, ...]:
    """Where no proof can suffice: said before filling begins."""
    if proof is None or proof.suffices:
        return ()
    u = min(each.u_kg_m3 for row in proof.compartments for each in row.options if each.proof is proof.chosen)
    margin = Quantity(proof.margin_kg_m3, "kg/m3")
    return (message("plan.no_proof_suffices", proof=proof.chosen, u=Quantity(u, "kg/m3"), margin=margin),)


def _loads(
    cavity: Cavity,
    spaces: tuple[Compartment, ...],
    pieces: tuple[Part, ...],
    density: Window | None,
    practice: Practice,
) -> tuple[Load, ...]:
    if density is None:
        return ()
    return loads(
        cavity=cavity,
        compartments=spaces,
        parts=pieces,
        target_kg_m3=density.target_kg_m3.value,
        practice=practice,
    )


def _mass_kg(
    cavity: Cavity,
    shape: Geometry,
    pieces: tuple[Part, ...],
    density: Window | None,
    open_fill: OpenBlow | None,
    practice: Practice,
) -> float:
    if density is None:
        assert open_fill is not None
        return open_fill.mass_kg
    filled_m3 = filled_volume_m3(cavity=cavity, geometry=shape, parts=pieces, practice=practice)
    return dense_mass_kg(target_kg_m3=density.target_kg_m3.value, filled_m3=filled_m3)
