"""What a crew says of kilograms and samples, with fixed values; a keyword takes the place of any field."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from typing import Any

from service.engine.ground.uncertainty import Measured, Share
from service.engine.ground.vocabulary import Feel
from service.engine.plan.density import Window
from service.engine.site.chains import Filling
from service.engine.site.entries import Block, Core, DepthCheck, Fill, Reclaimed
from service.engine.site.entry import Entry
from service.engine.site.evidence import basis_of, gathered
from service.engine.site.findings import CavityFinding, cavity_findings
from service.engine.site.materials import Materials
from service.engine.site.planned import Bag, Basis, Planned
from service.engine.site.said import said
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material, Practice
from service.engine.survey.uncertainties import SizeErrors
from tests import builders, site

BEGINS = datetime(2026, 11, 23, 8, tzinfo=UTC)
_ids = count(1)


def said_at(hours: float) -> dict[str, Any]:
    """Id, time and name of an entry, so many hours into the job."""
    moment = (BEGINS + timedelta(hours=hours)).isoformat()
    return {"id": f"entry-{next(_ids):06d}", "happened_at": moment, "by": "crew"}


def fill(hours: float = 1.0, cavity: str = "W1", **fields: Any) -> Fill:
    """A fill; give `bags` or `mass_kg`."""
    return Fill(**{"cavity": cavity, **said_at(hours), **fields})


def filling(hours: float = 1.0, space: str = "W1 W1", **fields: Any) -> Filling:
    """A fill in a chain."""
    of_chain = {name: fields.pop(name) for name in ("material", "visits") if name in fields}
    return Filling(fill=fill(hours, **fields), space=space, **of_chain)


def spill(hours: float, **fields: Any) -> Reclaimed:
    """Spill that was vacuumed up."""
    return Reclaimed(**{**said_at(hours), **fields})


def core(mass_g: float, hours: float = 5.0, bay: int | None = 1, **fields: Any) -> Core:
    """A core of 75 mm, 300 mm long: 1 kg/m3 is 1.325 g."""
    sample = Core(
        cavity="W1", bay=bay, mass_g=mass_g, feel=Feel.FIRM, diameter_mm=75, length_mm=300, **said_at(hours)
    )
    return replace(sample, **fields)


def block(mass_g: float, hours: float = 5.0, bay: int | None = 1, **fields: Any) -> Block:
    """A cut block of 300 x 300 x 100 mm, 9 litres."""
    sample = Block(
        cavity="W1",
        bay=bay,
        mass_g=mass_g,
        feel=Feel.FIRM,
        length_mm=300,
        width_mm=300,
        depth_mm=100,
        **said_at(hours),
    )
    return replace(sample, **fields)


def bag(value: float = 14.0, u: float = 0.0) -> Measured:
    """The mean bag in kilograms."""
    return Measured(value=value, shares=(Share(name="bag mass", of="bag mass", u=u),))


def basis(mean_bag: Measured | None = None, spread_kg: float = 0.0, **weighing: Any) -> Basis:
    """The basis of an assessment; exact but for what is named, so that each share can be seen by itself."""
    practice = builders.practice()
    exact = {"scale_half_kg": 0.0, "run_empty_half_kg": 0.0, "hopper_half_kg": 0.0} | weighing
    errors = replace(practice.uncertainties.weighing, **exact)
    uncertainties = replace(practice.uncertainties, weighing=errors)
    return Basis(
        materials=Materials(offered="CF-STD"),
        bags={"CF-STD": Bag(mean=mean_bag or bag(), spread_kg=spread_kg)},
        practice=replace(practice, uncertainties=uncertainties),
    )


EXACT_SIZES = SizeErrors(depth_mm=0.0, width_mm=0.0, span_mm=0.0, member_mm=0.0, opening_mm=0.0)
WORKED_SIZES = SizeErrors(depth_mm=3.0, width_mm=2.0, span_mm=3.0, member_mm=0.0, opening_mm=0.0)


def practice(
    sizes: SizeErrors = EXACT_SIZES,
    weighing: dict[str, float] | None = None,
    decision: dict[str, Any] | None = None,
    **sample: float,
) -> Practice:
    """The demo firm's practice, exact in sizes and weighing but for what is named."""
    firm = builders.practice(hold_points=())
    errors = firm.uncertainties
    exact = {
        "scale_half_kg": 0.0,
        "bag_over_label_rel": 0.0,
        "bag_spread_rel_u": 0.0,
        "run_empty_half_kg": 0.0,
        "hopper_half_kg": 0.0,
    }
    return replace(
        firm,
        decision=replace(firm.decision, **({"contradiction_decides": True} | (decision or {}))),
        uncertainties=replace(
            errors,
            survey=replace(errors.survey, counted=sizes, drawn=sizes),
            weighing=replace(errors.weighing, **(exact | (weighing or {}))),
            sample=replace(errors.sample, **sample),
        ),
    )


WORKED = practice(WORKED_SIZES, weighing={"scale_half_kg": 0.1})


def shown(
    cavity: Cavity,
    *entries: Entry,
    density: Window | None = None,
    profile: Practice | None = None,
    sheet: Material | None = None,
) -> CavityFinding:
    """What these entries show of one cavity."""
    (found,) = shown_of((site.planned(cavity, density),), *entries, profile=profile, sheet=sheet)
    return found


def shown_of(
    cavities: tuple[Planned, ...],
    *entries: Entry,
    profile: Practice | None = None,
    sheet: Material | None = None,
) -> tuple[CavityFinding, ...]:
    """What these entries show of several cavities."""
    ledger = site.ledger(*entries)
    basis = basis_of(ledger=ledger, material=sheet or builders.material(), practice=profile or practice())
    found = gathered(cavities=cavities, said=said(ledger=ledger), basis=basis)
    return cavity_findings(cavities=cavities, found=found, checks=ledger.of(DepthCheck), basis=basis)
