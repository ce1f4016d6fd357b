"""Site entries and plans with fixed values for the tests of what was found; a keyword replaces any field.

Entries happened at `minute` of one morning and are one person's.
"""

from collections.abc import Iterable
from dataclasses import replace
from itertools import count
from typing import Any

from service.documents.wording.sentences import in_words
from service.engine.geometry.compartments import compartments
from service.engine.geometry.geometry import geometry
from service.engine.geometry.plane import plane
from service.engine.ground.formula import Provenance
from service.engine.ground.messages import Message
from service.engine.ground.vocabulary import Answer, Element, Facing, Feel, Method, Purpose, Stage, Standing
from service.engine.plan.bounds import Bound
from service.engine.plan.density import Window, window
from service.engine.plan.hold_points import HoldPoint
from service.engine.plan.holes import Hole as PlannedHole
from service.engine.plan.openblow import open_blow
from service.engine.site.assessment import Assessment, assess
from service.engine.site.entries import (
    AirTest,
    BagCheck,
    Block,
    Box,
    Check,
    Core,
    Delivery,
    DepthCheck,
    Fill,
    Found,
    Hole,
    Note,
    Patch,
    Reclaimed,
    Tally,
)
from service.engine.site.entry import Entry
from service.engine.site.holes_told import HolesMade, Patched
from service.engine.site.ledger import Ledger
from service.engine.site.planned import Planned
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material, Practice
from service.engine.survey.uncertainties import SizeErrors
from tests import builders

_ids = count(1)


def said(minute: float = 0.0) -> dict[str, Any]:
    """An id of its own, the time and who says it."""
    moment = f"2026-11-23T{8 + int(minute // 60):02d}:{int(minute % 60):02d}:{minute * 60 % 60:06.3f}Z"
    return {"id": f"entry-{next(_ids):06d}", "happened_at": moment, "by": "crew"}


def ledger(*entries: Entry) -> Ledger:
    """A ledger of these entries, in the order of what happened."""
    return Ledger(entries=entries).in_order()


def fill(cavity: str = "W1", minute: float = 0.0, **fields: Any) -> Fill:
    """A fill with a lance; give `mass_kg` or `bags`."""
    return Fill(**{"cavity": cavity, "method": Method.LANCE, **said(minute), **fields})


def tally(cavity: str = "W1", minute: float = 30.0, **fields: Any) -> Tally:
    """A part that is done as planned; give `mass_kg` or `bags`."""
    as_planned = {"holes": HolesMade(), "patched": Patched()}
    return Tally(**{"cavity": cavity, **as_planned, **said(minute), **fields})


def bag_check(*masses_kg: float, lot: str | None = None) -> BagCheck:
    """Weighed bags."""
    return BagCheck(masses_kg=masses_kg, lot=lot, **said())


def core(mass_g: float, cavity: str = "W1", bay: int | None = 1, minute: float = 60.0, **fields: Any) -> Core:
    """A core of 75 mm, 300 mm long: 1 kg/m3 is 1.325 g."""
    cut = {"diameter_mm": 75, "length_mm": 300, "feel": Feel.FIRM, "patched": True}
    return Core(**{"cavity": cavity, "bay": bay, "mass_g": mass_g, **cut, **said(minute), **fields})


def block(
    mass_g: float, cavity: str = "W1", bay: int | None = 1, minute: float = 60.0, **fields: Any
) -> Block:
    """A cut block of 300 x 300 x 100 mm, 9 litres."""
    cut = {"length_mm": 300, "width_mm": 300, "depth_mm": 100, "feel": Feel.FIRM, "patched": True}
    return Block(**{"cavity": cavity, "bay": bay, "mass_g": mass_g, **cut, **said(minute), **fields})


def box(mass_g: float, **fields: Any) -> Box:
    """A test box of 20 litres."""
    return Box(**{"volume_l": 20, "mass_g": mass_g, **said(60), **fields})


def hole(tag: str | None = "P1", cavity: str = "W1", minute: float = 0.0, **fields: Any) -> Hole:
    """An entry hole of 65 mm that the plan does not have, or one of the plan by its `number`."""
    size = {"width_mm": 65, "height_mm": 65} if tag else {}
    made = {"tag": tag, "cavity": cavity, "purpose": Purpose.ENTRY, **size}
    return Hole(**{**made, **said(minute), **fields})


def patch(tag: str | None = "P1", cavity: str = "W1", minute: float = 5.0, **fields: Any) -> Patch:
    """A patch of 170 mm, wiped and rubbed down."""
    cover = {"width_mm": 170, "height_mm": 170, "tape": "airtight tape", "wiped": True, "pressed_on": True}
    return Patch(**{"tag": tag, "cavity": cavity, **cover, **said(minute), **fields})


def check(code: str, cavity: str | None = None, minute: float = 0.0, **fields: Any) -> Check:
    """A hold point that is clear."""
    return Check(**{"code": code, "cavity": cavity, "answer": Answer.CLEAR, **said(minute), **fields})


def delivery(minute: float = 0.0, **fields: Any) -> Delivery:
    """Material that came, or what was left over of it."""
    return Delivery(**{**said(minute), **fields})


def reclaimed(mass_kg: float = 0.0, minute: float = 90.0, **fields: Any) -> Reclaimed:
    """What was vacuumed up."""
    return Reclaimed(**{"mass_kg": mass_kg, **said(minute), **fields})


def stock(delivered_bags: float, left_over_bags: float, reclaimed_kg: float = 0.0) -> tuple[Entry, ...]:
    """What came, what was left over and what was vacuumed up."""
    came = delivery(bags=delivered_bags, lot="L1")
    return came, delivery(90, left_over=left_over_bags), reclaimed(reclaimed_kg)


def depth_check(*depths_mm: float, cavity: str = "A1", markers: int = 3, minute: float = 60.0) -> DepthCheck:
    """Depths of an open blow and its markers."""
    return DepthCheck(cavity=cavity, depths_mm=depths_mm, markers=markers, **said(minute))


def note(remark: str | None, **fields: Any) -> Note:
    """Something worth keeping."""
    return Note(**{"remark": remark, **said(), **fields})


def found(cavity: str = "W1", minute: float = 0.0, **fields: Any) -> Found:
    """What was found otherwise than surveyed."""
    return Found(**{"cavity": cavity, **said(minute), **fields})


def air_test() -> AirTest:
    """A test after filling."""
    return AirTest(before_or_after=Stage.AFTER, tested_by="tester", n50_per_h=0.9, **said(120))


def words(said: Message | str) -> str:
    """A sentence in English."""
    return said if isinstance(said, str) else in_words(said)


def limits(lowest: float, highest: float) -> Window:
    """A window between two densities, its target in the middle."""
    bounds = [
        Bound(
            value=value,
            provenance=Provenance(rule=Message("test"), source="test", standing=Standing.DECLARED),
        )
        for value in (lowest, (lowest + highest) / 2, highest)
    ]
    return Window(
        lowest_kg_m3=bounds[0], target_kg_m3=bounds[1], highest_kg_m3=bounds[2], considered=tuple(bounds)
    )


def planned(cavity: Cavity, density: Window | None = None, holes: int = 0) -> Planned:
    """A cavity as it was planned with the demo firm's sheet and practice, or with another window.

    Filled from an open end, unless entry holes were planned.
    """
    shape = geometry(cavity=cavity)
    sheet, profile = builders.material(), builders.practice()
    limits = density or window(cavity=cavity, material=sheet, practice=profile)
    return Planned(
        cavity=cavity,
        geometry=shape,
        compartments=compartments(cavity=cavity),
        density=limits,
        open_blow=None
        if limits
        else open_blow(laid_out=plane(cavity=cavity), geometry=shape, material=sheet, practice=profile),
        holes=holes,
        hole_list=tuple(_planned_hole(number) for number in range(1, holes + 1)),
    )


def _planned_hole(number: int) -> PlannedHole:
    return PlannedHole(
        number=number, bay=number, part=1, x_m=0.3, height_m=2.0, width_mm=65, height_mm=65, note=""
    )


def one_bay(**fields: Any) -> Cavity:
    """The worked example's cavity: one bay of 2.400 x 0.560 x 0.300 m between two members of 45 mm."""
    cavity = Cavity(
        label="W1",
        element=Element.WALL,
        width_m=0.65,
        span_m=2.4,
        layers=(builders.layer(300, builders.framing(spacing_mm=605, plates_mm=0)),),
        facing=Facing.BOARD,
    )
    return replace(cavity, **fields)


def assessed(
    *cavities: Planned,
    entries: Iterable[Entry] = (),
    hold_points: tuple[HoldPoint, ...] = (),
    material: Material | None = None,
    practice: Practice | None = None,
) -> Assessment:
    """The assessment of a ledger with these entries."""
    return assess(
        cavities=cavities,
        hold_points=hold_points,
        ledger=Ledger(entries=tuple(entries)).in_order(),
        material=material or builders.material(),
        practice=practice or builders.practice(),
    )


def with_sizes(planned: Planned, sizes: SizeErrors) -> Planned:
    """A cavity whose sizes were measured on site, so well."""
    return replace(planned, sizes=sizes)
