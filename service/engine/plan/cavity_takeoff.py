"""One cavity worked out: its geometry, what goes into it, how it is filled and proven, what it insulates."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from service.engine.geometry.cautions import survey_cautions
from service.engine.geometry.compartments import Compartment, Part, compartments_of, parts_of
from service.engine.geometry.geometry import Geometry, measured
from service.engine.geometry.plane import Plane, plane
from service.engine.ground.known import Known
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import Kilograms
from service.engine.ground.turns import Steps, made
from service.engine.ground.vocabulary import Element
from service.engine.ground.working import Working
from service.engine.heat.thermal import Thermal, thermal
from service.engine.plan.density import Window, decided_by, window
from service.engine.plan.filling import FillPlan, fill_plan
from service.engine.plan.labels import label_r, unlabelled
from service.engine.plan.loads import Load, loads
from service.engine.plan.openblow import OpenBlow, bags_differ, open_blow
from service.engine.plan.proof import ProofPlan, proof_plan
from service.engine.plan.quantities import Bulging, bulging_m2, dense_mass_kg, expected_bulge_m3
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Material, Practice


@quick
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


_cavity_takeoff = maker(CavityTakeoff)


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What all cavities of a building are worked out by, and what is known of them already."""

    material: Material
    practice: Practice
    lances: tuple[Lance, ...]
    known: Known = field(default_factory=Known)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class _Fill:
    """A cavity laid out, and what is to go into it: `density` of a dense fill, else `open_blow`.

    `facing_m2` is the area of the facing that is expected to bulge, by bay.
    """

    cavity: Cavity
    basis: Basis
    laid_out: Plane
    shape: Geometry
    spaces: tuple[Compartment, ...]
    pieces: tuple[Part, ...]
    facing_m2: Mapping[int, float]
    density: Window | None
    open_blow: OpenBlow | None


def cavity_takeoff(
    *,
    cavity: Cavity,
    material: Material,
    practice: Practice,
    lances: tuple[Lance, ...],
    working: Working | None = None,
) -> CavityTakeoff:
    """Work out one cavity; raises InvalidInput with pointers relative to it."""
    basis = Basis(material=material, practice=practice, lances=lances)
    return made(steps(cavity=cavity, basis=basis, working=working))


def steps(*, cavity: Cavity, basis: Basis, working: Working | None = None) -> Steps[CavityTakeoff]:
    """One cavity worked out step by step; raises InvalidInput with pointers relative to it."""
    laid_out = plane(cavity=cavity)
    if working:
        working.keep(laid_out)
    yield
    fill = _fill(laid_out, basis, working)
    mass_kg = _mass_kg(fill, working)
    yield
    proof = _proof(fill, working)
    yield
    plan = _plan(fill, mass_kg, proof, working)
    yield
    printed_r, heat = _heat(fill, working)
    yield
    return _cavity_takeoff(
        label=cavity.label,
        element=cavity.element,
        count=cavity.count,
        geometry=fill.shape,
        compartments=fill.spaces,
        density=fill.density,
        open_blow=fill.open_blow,
        mass_kg=mass_kg,
        fill_plan=plan,
        samples=cavity.count * proof.samples if proof else 0,
        loads=_loads(fill),
        thermal=heat,
        cautions=_cautions(fill, proof, plan, heat, printed_r),
    )


def _fill(laid_out: Plane, basis: Basis, working: Working | None) -> _Fill:
    cavity, shape = laid_out.cavity, measured(laid_out=laid_out)
    material, practice = basis.material, basis.practice
    spaces, pieces = compartments_of(laid_out=laid_out), parts_of(laid_out=laid_out)
    density = basis.known.of(
        ("window", *decided_by(cavity=cavity)),
        lambda: window(cavity=cavity, material=material, practice=practice),
    )
    blow = None
    if density is None:
        blow = open_blow(
            laid_out=laid_out, geometry=shape, material=material, practice=practice, working=working
        )
    return _Fill(
        cavity=cavity,
        basis=basis,
        laid_out=laid_out,
        shape=shape,
        spaces=spaces,
        pieces=pieces,
        facing_m2=bulging_m2(cavity=cavity, parts=pieces, practice=practice),
        density=density,
        open_blow=blow,
    )


def _mass_kg(fill: _Fill, working: Working | None) -> float:
    if fill.density is None:
        assert fill.open_blow is not None
        return fill.open_blow.mass_kg
    bulge_m3 = expected_bulge_m3(cavity=fill.cavity, facing_m2=fill.facing_m2, practice=fill.basis.practice)
    if working:
        working.keep(Bulging(volume_m3=bulge_m3))
    filled_m3 = fill.shape.net_volume_m3 + bulge_m3
    return dense_mass_kg(target_kg_m3=fill.density.target_kg_m3.value, filled_m3=filled_m3)


def _proof(fill: _Fill, working: Working | None) -> ProofPlan | None:
    if fill.density is None:
        return None
    return proof_plan(
        laid_out=fill.laid_out,
        compartments=fill.spaces,
        facing_m2=fill.facing_m2,
        window=fill.density,
        material=fill.basis.material,
        practice=fill.basis.practice,
        working=working,
        known=fill.basis.known,
    )


def _plan(fill: _Fill, mass_kg: float, proof: ProofPlan | None, working: Working | None) -> FillPlan:
    return fill_plan(
        cavity=fill.cavity,
        geometry=fill.shape,
        compartments=fill.spaces,
        parts=fill.pieces,
        mass_kg=mass_kg,
        practice=fill.basis.practice,
        lances=fill.basis.lances,
        proof=proof,
        working=working,
        known=fill.basis.known,
    )


def _heat(fill: _Fill, working: Working | None) -> tuple[float | None, Thermal]:
    """The R that the maker's chart prints for the fill, if any, and the cavity's U-value."""
    cavity, material = fill.cavity, fill.basis.material
    market = fill.basis.practice.market
    printed_r = label_r(cavity=cavity, density=fill.density, material=material, market=market)
    heat = thermal(
        cavity=cavity,
        geometry=fill.shape,
        conductivity_w_mk=material.conductivity_w_mk,
        label_r=printed_r,
        working=working,
    )
    return printed_r, heat


def _loads(fill: _Fill) -> tuple[Load, ...]:
    if fill.density is None:
        return ()
    return loads(
        cavity=fill.cavity,
        compartments=fill.spaces,
        facing_m2=fill.facing_m2,
        target_kg_m3=fill.density.target_kg_m3.value,
        practice=fill.basis.practice,
    )


def _cautions(
    fill: _Fill, proof: ProofPlan | None, plan: FillPlan, heat: Thermal, printed_r: float | None
) -> tuple[Message, ...]:
    warned = fill.density.cautions if fill.density else ()
    if fill.open_blow:
        warned = bags_differ(blow=fill.open_blow, bag_kg=fill.basis.material.bag_kg)
    market = fill.basis.practice.market
    return (
        *survey_cautions(cavity=fill.cavity),
        *warned,
        *_unproven(proof),
        *plan.notes,
        *heat.notes,
        *unlabelled(cavity=fill.cavity, density=fill.density, label_r=printed_r, market=market),
    )


def _unproven(proof: ProofPlan | None) -> tuple[Message, ...]:
    """Where no proof can suffice: said before filling begins."""
    if proof is None or proof.suffices:
        return ()
    u = min(each.u_kg_m3 for row in proof.compartments for each in row.options if each.proof is proof.chosen)
    margin = Quantity(proof.margin_kg_m3, "kg/m3")
    return (message("plan.no_proof_suffices", proof=proof.chosen, u=Quantity(u, "kg/m3"), margin=margin),)
