"""Site entries and plans with fixed values for the tests of what was found; a keyword replaces any field.

Entries are recorded at `minute` of one morning by one person.
"""

from dataclasses import replace
from itertools import count
from typing import Any

from service.engine.geometry.compartments import compartments
from service.engine.geometry.geometry import geometry
from service.engine.ground.formula import Provenance
from service.engine.ground.messages import Message
from service.engine.ground.uncertainty import Measured, Share
from service.engine.ground.vocabulary import (
    Answer,
    Element,
    Facing,
    Feel,
    Method,
    Purpose,
    Shape,
    Stage,
    Standing,
)
from service.engine.plan.density import Bound, Window, window
from service.engine.plan.hold_points import HoldPoint
from service.engine.plan.openblow import open_blow
from service.engine.site.assessment import Assessment, assess
from service.engine.site.ledger import (
    AirTest,
    BagCheck,
    DepthCheck,
    FillRecord,
    HoldPointAnswer,
    Ledger,
    Patch,
    Penetration,
    Sample,
    Stock,
)
from service.engine.site.planned import Basis, Planned
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Material, Practice
from service.engine.survey.uncertainties import Uncertainties
from tests import builders

_ids = count(1)


def recorded(minute: float = 0.0) -> dict[str, Any]:
    """An id of its own, the time and who recorded."""
    moment = f"2026-11-23T{8 + int(minute // 60):02d}:{int(minute % 60):02d}:{minute * 60 % 60:06.3f}Z"
    return {"entry": f"entry-{next(_ids):06d}", "recorded_at": moment, "recorded_by": "crew"}


def fill(cavity: str = "W1", minute: float = 0.0, **fields: Any) -> FillRecord:
    """A fill with a lance; give `mass_kg` or `bags`."""
    return replace(FillRecord(cavity=cavity, method=Method.LANCE, **recorded(minute)), **fields)


def bag_check(*masses_kg: float) -> BagCheck:
    """Weighed bags."""
    return BagCheck(masses_kg=masses_kg, **recorded())


def core(
    mass_g: float, cavity: str = "W1", bay: int | None = 1, minute: float = 60.0, **fields: Any
) -> Sample:
    """A core of 75 mm, 300 mm long: 1 kg/m3 is 1.325 g."""
    sample = Sample(
        cavity=cavity,
        bay=bay,
        shape=Shape.CORE,
        diameter_mm=75,
        length_mm=300,
        mass_g=mass_g,
        feel=Feel.FIRM,
        **recorded(minute),
    )
    return replace(sample, **fields)


def block(
    mass_g: float, cavity: str = "W1", bay: int | None = 1, minute: float = 60.0, **fields: Any
) -> Sample:
    """A cut block of 300 x 300 x 100 mm, 9 litres."""
    sample = Sample(
        cavity=cavity,
        bay=bay,
        shape=Shape.BLOCK,
        length_mm=300,
        width_mm=300,
        depth_mm=100,
        mass_g=mass_g,
        feel=Feel.FIRM,
        **recorded(minute),
    )
    return replace(sample, **fields)


def box(mass_g: float, cavity: str = "W1", bay: int | None = 1, **fields: Any) -> Sample:
    """A test box of 20 litres."""
    sample = Sample(
        cavity=cavity, bay=bay, shape=Shape.BOX, volume_l=20, mass_g=mass_g, feel=Feel.FIRM, **recorded(60)
    )
    return replace(sample, **fields)


def penetration(tag: str = "P1", cavity: str = "W1", minute: float = 0.0, **fields: Any) -> Penetration:
    """An entry hole of 65 mm."""
    hole = Penetration(
        tag=tag, cavity=cavity, purpose=Purpose.ENTRY, width_mm=65, height_mm=65, **recorded(minute)
    )
    return replace(hole, **fields)


def patch(tag: str = "P1", minute: float = 5.0, **fields: Any) -> Patch:
    """A patch of 170 mm, wiped and rubbed down."""
    cover = Patch(
        tag=tag,
        width_mm=170,
        height_mm=170,
        tape="airtight tape",
        wiped=True,
        rubbed_down=True,
        **recorded(minute),
    )
    return replace(cover, **fields)


def answer(code: str, cavity: str | None = None, minute: float = 0.0, **fields: Any) -> HoldPointAnswer:
    """A hold point that is clear."""
    return replace(
        HoldPointAnswer(code=code, cavity=cavity, answer=Answer.CLEAR, **recorded(minute)), **fields
    )


def stock(
    delivered_bags: float, left_over_bags: float, reclaimed_kg: float = 0.0, minute: float = 90.0
) -> Stock:
    """A stock entry."""
    return Stock(
        delivered_bags=delivered_bags,
        left_over_bags=left_over_bags,
        reclaimed_kg=reclaimed_kg,
        **recorded(minute),
    )


def depth_check(*depths_mm: float, cavity: str = "A1", markers: int = 3, minute: float = 60.0) -> DepthCheck:
    """Depths of an open blow and its markers."""
    return DepthCheck(cavity=cavity, depths_mm=depths_mm, markers=markers, **recorded(minute))


def air_test() -> AirTest:
    """A test after filling."""
    return AirTest(before_or_after=Stage.AFTER, by="tester", n50_per_h=0.9, **recorded(120))


def uncertainties(**fields: Any) -> Uncertainties:
    """Those of the demo firm."""
    return replace(builders.practice().uncertainties, **fields)


def practice(**fields: Any) -> Practice:
    """The demo firm's practice without hold points, with other uncertainties for any of their fields."""
    return builders.practice(uncertainties=uncertainties(**fields), hold_points=())


def bag(value: float = 12.5, u: float = 0.1) -> Measured:
    """The mean bag in kilograms."""
    return Measured(value=value, shares=(Share(name="bag mass", of="bag mass", u=u),))


def basis(mean_bag: Measured | None = None, spread_kg: float = 0.0, **fields: Any) -> Basis:
    """The basis of an assessment with some uncertainties replaced."""
    return Basis(bag=mean_bag or bag(), spread_kg=spread_kg, practice=practice(**fields))


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
    found = density or window(cavity=cavity, material=sheet, practice=profile)
    return Planned(
        cavity=cavity,
        geometry=shape,
        compartments=compartments(cavity=cavity),
        density=found,
        open_blow=None
        if found
        else open_blow(cavity=cavity, geometry=shape, material=sheet, practice=profile),
        holes=holes,
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
    hold_points: tuple[HoldPoint, ...] = (),
    material: Material | None = None,
    practice: Practice | None = None,
    **entries: Any,
) -> Assessment:
    """The assessment of a ledger with these entries."""
    return assess(
        cavities=cavities,
        hold_points=hold_points,
        ledger=Ledger(**entries),
        material=material or builders.material(),
        practice=practice or builders.practice(),
    )
