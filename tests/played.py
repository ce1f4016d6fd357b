"""A site played as it is, not as the table of half-widths has it.

Whole bags go into a hopper that is never quite empty; bags are heavier than their label
says; sizes are not what was measured; windows stand somewhere; spill falls where it
falls; bays differ; boards bulge. The crew notes what a crew notes. What is stated
of it can then be held against what is so.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy

from service.engine.geometry.compartments import compartments, parts
from service.engine.geometry.geometry import geometry
from service.engine.geometry.plane import plane
from service.engine.ground.vocabulary import Feel, Surveyed
from service.engine.plan.density import window
from service.engine.plan.openblow import open_blow
from service.engine.plan.quantities import clear_facing_m2
from service.engine.site.entries import Core, Delivery, DepthCheck, Reclaimed
from service.engine.site.entry import Entry
from service.engine.site.evidence import basis_of, gathered
from service.engine.site.findings import CavityFinding, cavity_findings
from service.engine.site.ledger import Ledger
from service.engine.site.planned import Planned
from service.engine.site.said import said
from service.engine.survey.cavity import Cavity, Opening
from service.engine.survey.practice import Material, Practice
from service.engine.survey.uncertainties import SizeErrors

BEGINS = datetime(2026, 11, 23, 8, tzinfo=UTC)
CORE_MM = 76.0


@dataclass
class Part:
    """A part as it was planned and as it is: the real cavity, and how much its facing really bulges."""

    planned: Planned
    real: Cavity
    bulge_mm: float = 0.0
    bulge_factor: float = 5 / 9

    @property
    def volumes_m3(self) -> Mapping[int, float]:
        """What really fits into each bay, bulge included; by bay, of each compartment alike."""
        spaces = compartments(cavity=self.real)
        clear = parts(cavity=self.real)
        found: dict[int, float] = {}
        for space in spaces:
            for bay in space.bays:
                facing_m2 = clear_facing_m2(
                    cavity=self.real, parts=(each for each in clear if each.bay == bay)
                )
                extra_m3 = self.bulge_factor * self.bulge_mm / 1000 * facing_m2
                found[bay] = found.get(bay, 0.0) + space.net_volume_m3 / len(space.bays) + extra_m3
        return found


@dataclass
class Played:
    """One job, played: what the crew wrote down, and the density that each bay really has."""

    rng: numpy.random.Generator
    material: Material
    practice: Practice
    entries: list[Entry] = field(default_factory=list)
    held_kg: float = 0.0
    clock: datetime = BEGINS
    densities: dict[tuple[str, int], float] = field(default_factory=dict)
    masses: dict[str, float] = field(default_factory=dict)
    volumes: dict[str, float] = field(default_factory=dict)
    spilt_kg: float = 0.0

    def __post_init__(self) -> None:
        errors = self.practice.uncertainties
        self.bag_mean_kg = self.material.bag_kg * (
            1 + self.rng.uniform(0, 2 * errors.weighing.bag_over_label_rel)
        )
        self.scale_kg = self.rng.uniform(-errors.weighing.scale_half_kg, errors.weighing.scale_half_kg)
        self.tool_mm = CORE_MM + self.within(errors.sample.core_diameter_half_mm)
        self.disturbed = 1 + self.rng.normal(0, errors.sample.core_disturbance_rel_u)
        self.held_kg = self.residue_kg()

    def within(self, half: float) -> float:
        """Anywhere within a half-width."""
        return float(self.rng.uniform(-half, half))

    def residue_kg(self) -> float:
        """What a machine holds that was run empty, more or less than it usually does."""
        return self.within(self.practice.uncertainties.weighing.run_empty_half_kg)

    def stamp(self, hours: float) -> dict[str, Any]:
        """Id, time and name of an entry, so many hours after the last."""
        self.clock += timedelta(hours=hours + 0.05)
        return {"id": f"{len(self.entries):06d}", "happened_at": self.clock.isoformat(), "by": "crew"}

    def say(self, kind: Callable[..., Entry], hours: float = 0.1, **fields: Any) -> None:
        """Write something down."""
        self.entries.append(kind(**self.stamp(hours), **fields))

    def bag_kg(self) -> float:
        """A bag from the pallet."""
        spread = self.practice.uncertainties.weighing.bag_spread_rel_u * self.material.bag_kg
        return self.bag_mean_kg + float(self.rng.normal(0, spread))

    def pack(self, part: Part, bays: list[int], density: float, scatter: float, spill: float = 0.0) -> float:
        """Fill bays to a density, each off by itself; the kilograms that leave the hose, spill among them."""
        label, rooms = part.planned.cavity.label, part.volumes_m3
        out_kg = 0.0
        for bay in bays:
            real = density + float(self.rng.normal(0, scatter))
            self.densities[label, bay] = real
            self.masses[label] = self.masses.get(label, 0.0) + real * rooms[bay]
            self.volumes[label] = self.volumes.get(label, 0.0) + rooms[bay]
            out_kg += real * rooms[bay]
        fallen_kg = out_kg * spill * float(self.rng.uniform(0, 2))
        self.spilt_kg += fallen_kg
        return out_kg + fallen_kg

    def empty_bags(self, out_kg: float) -> int:
        """Whole bags emptied until so much has left the hose: each when the hopper runs low."""
        bags = 0
        while self.held_kg < out_kg:
            self.held_kg += self.bag_kg()
            bags += 1
        self.held_kg -= out_kg
        return bags

    def weigh_in(self, out_kg: float) -> float:
        """What is put on the scale before the machine is run empty again."""
        left = self.residue_kg()
        put_in = out_kg + left - self.held_kg
        self.held_kg = left
        return put_in + self.scale_kg

    def core(self, part: Part, bay: int) -> None:
        """A core through the whole depth of a bay."""
        errors = self.practice.uncertainties.sample
        depth_mm = part.real.depth_mm
        litres = numpy.pi / 4 * (self.tool_mm / 1000) ** 2 * depth_mm
        grams = self.densities[part.planned.cavity.label, bay] * litres * self.disturbed
        self.say(
            Core,
            cavity=part.planned.cavity.label,
            bay=bay,
            mass_g=float(grams) + self.within(errors.mass_half_g),
            length_mm=depth_mm + self.within(errors.core_length_half_mm),
            diameter_mm=CORE_MM,
            feel=Feel.FIRM,
        )

    def vacuum(self, bags: float = 0.0) -> None:
        """The day's spill vacuumed up and weighed, and what is left over counted."""
        self.say(Reclaimed, mass_kg=max(self.spilt_kg + self.scale_kg, 0.0))
        self.say(Delivery, bags=1000.0, left_over=bags)

    def truth(self, label: str) -> float:
        """The mean density of a part as it is."""
        return self.masses[label] / self.volumes[label]


def as_it_is(
    cavity: Cavity, rng: numpy.random.Generator, practice: Practice, *, single: bool = False
) -> Cavity:
    """The real cavity behind a survey: every size off within its half-width, windows somewhere."""
    survey = practice.uncertainties.survey
    sizes = survey.counted if cavity.surveyed is Surveyed.COUNTED else survey.drawn

    def off(half_mm: float) -> float:
        return float(rng.uniform(-half_mm, half_mm)) / 1000

    layers = tuple(
        replace(
            layer,
            depth_mm=layer.depth_mm + 1000 * off(sizes.depth_mm),
            framing=layer.framing
            and replace(
                layer.framing,
                member_mm=layer.framing.member_mm
                and layer.framing.member_mm + (0 if single else 1000 * off(sizes.member_mm)),
            ),
        )
        for layer in cavity.layers
    )
    return replace(
        cavity,
        width_m=cavity.width_m + off(sizes.width_mm),
        span_m=cavity.span_m + off(sizes.span_mm),
        layers=layers,
        openings=tuple(_opened(each, cavity, sizes, rng) for each in cavity.openings),
    )


def _opened(opening: Opening, cavity: Cavity, sizes: SizeErrors, rng: numpy.random.Generator) -> Opening:
    """A window as it stands: not quite of the size measured, and in a place that nobody wrote down."""

    def off() -> float:
        return float(rng.uniform(-sizes.opening_mm, sizes.opening_mm)) / 1000

    width_m, height_m = opening.width_m + off(), opening.height_m + off()
    left_m, sill_m = opening.left_m, opening.sill_m
    if left_m is None:
        left_m = round(float(rng.uniform(0.3, cavity.width_m - width_m - 0.3)), 3)
    return replace(
        opening,
        width_m=width_m,
        height_m=height_m,
        left_m=left_m,
        sill_m=0.9 if sill_m is None else sill_m,
    )


def plan_of(cavity: Cavity, material: Material, practice: Practice) -> Planned:
    """A cavity as it was planned."""
    shape = geometry(cavity=cavity)
    dense = window(cavity=cavity, material=material, practice=practice)
    return Planned(
        cavity=cavity,
        geometry=shape,
        compartments=compartments(cavity=cavity),
        density=dense,
        open_blow=None
        if dense
        else open_blow(laid_out=plane(cavity=cavity), geometry=shape, material=material, practice=practice),
        holes=0,
    )


def findings(
    *cavities: Planned, entries: tuple[Entry, ...], material: Material, practice: Practice
) -> tuple[CavityFinding, ...]:
    """What these entries show of the cavities' densities."""
    ledger = Ledger(entries=entries).in_order()
    basis = basis_of(ledger=ledger, material=material, practice=practice)
    found = gathered(cavities=cavities, said=said(ledger=ledger), basis=basis)
    return cavity_findings(cavities=cavities, found=found, checks=ledger.of(DepthCheck), basis=basis)
