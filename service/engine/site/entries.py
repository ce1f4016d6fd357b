"""What is said on the site: every kind of entry, declared once.

Schema, ledger and engine read these classes: a field's unit, range and meaning are its
annotations, a kind's name is its key in `KINDS`. What has to be measured has no default;
None says that nobody said it. What fields must fit one another is in `entry_shape`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, ClassVar

from service.engine.ground.shapes import Range, Unit
from service.engine.ground.vocabulary import Answer, BagsAre, BayState, Feel, Method, Purpose, Shape, Stage
from service.engine.site.entry import (
    Bags,
    Bay,
    Counted,
    Entry,
    Id,
    Label,
    Mass,
    OfCavity,
    Position,
    Prose,
    Several,
    Side,
)
from service.engine.site.holes_told import HolesMade, Patched


@dataclass(frozen=True, slots=True, kw_only=True)
class Emptied(OfCavity):
    """Material that went into a part: bags emptied, or kilograms weighed, before anything comes back.

    What is in machine and hose afterwards: nothing (`run_empty`), `hopper_kg`, or nobody said.
    """

    bags: Annotated[Bags | None, "bags emptied"] = None
    mass_kg: Annotated[Mass | None, "mass emptied, weighed"] = None
    method: Annotated[Method | None, "how it was blown; the plan's unless given"] = None
    run_empty: Annotated[bool, "machine and hose were run empty afterwards"] = False
    hopper_kg: Annotated[Mass | None, "what is in the hopper afterwards, weighed"] = None
    bulge_mm: Annotated[float | None, Unit("mm"), Range(0, 500), "the facing's bulge at mid-bay"] = None
    lot: Annotated[Label | None, "lot of the material, where there are several"] = None
    last_bay: Annotated[Bay | None, "of several bays noted together the one that was filled last"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally(Emptied):
    """A part is done. Holes, patches and method are the plan's where it says so, never measures."""

    bags_are: Annotated[BagsAre | None, "the part's total, or besides its fills before"] = None
    holes: Annotated[HolesMade | None, "`as_planned`, or what was `added` and `omitted`"] = None
    patched: Annotated[Patched | None, "`all`, or `all_but` these numbers"] = None
    tape: Annotated[Label | None, "tape of the patches; the plan's unless given"] = None
    patch_width_mm: Annotated[Side | None, "breadth of the patches; the plan's unless given"] = None
    patch_height_mm: Annotated[Side | None, "height of the patches; the plan's unless given"] = None
    wiped: Annotated[bool | None, "whether the surface was wiped first; the plan's unless given"] = None
    pressed_on: Annotated[bool | None, "whether they were rubbed down; the plan's unless given"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill(Emptied):
    """A bay or a part got so much, or less: `removed_kg` was dug out of it again."""

    bay: Annotated[Bay | None, "bay that was filled; the whole part without"] = None
    removed_kg: Annotated[Mass, "mass taken out of the filled part again"] = 0.0
    from_spill: Annotated[bool, "blown again from bagged spill, by weight"] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample(OfCavity):
    """Material of one bay, taken from a known volume and weighed."""

    shape: ClassVar[Shape]

    mass_g: Annotated[float, Unit("g"), Range(0.1, 1_000_000), "mass of the sample"]
    feel: Annotated[Feel, "what a hand pressed on the fill finds"]
    bay: Annotated[Bay | None, "bay it is of, where the part has several"] = None
    patched: Annotated[bool | None, "whether its hole is closed; a later tally closes it too"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Core(Sample):
    """A core and its hole: the tool's diameter, as long as the depth that was found unless given."""

    shape: ClassVar[Shape] = Shape.CORE

    diameter_mm: Annotated[float | None, Unit("mm"), Range(1, 500), "inside of another tool"] = None
    length_mm: Annotated[Side | None, "length of the core; the depth found unless given"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Block(Sample):
    """A block that was cut out, and its hole."""

    shape: ClassVar[Shape] = Shape.BLOCK

    length_mm: Annotated[Side, "first side, across the members"]
    width_mm: Annotated[Side, "second side, along the members"]
    depth_mm: Annotated[Side, "third side, into the fill"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Box(Entry):
    """A test box beside the wall: what the machine does, never what a bay holds."""

    volume_l: Annotated[float, Unit("L"), Range(0.01, 1000), "what the box holds"]
    mass_g: Annotated[float, Unit("g"), Range(0.1, 1_000_000), "mass blown into it"]
    cavity: Annotated[Label | None, "part beside which it was filled"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole(OfCavity):
    """One hole: a `number` of the plan, or a `tag` of its own; both belong to the part."""

    number: Annotated[int | None, Range(1, 100_000), "number of the plan"] = None
    tag: Annotated[Label | None, "a name of its own in the part"] = None
    purpose: Annotated[Purpose, "what it is for"] = Purpose.ENTRY
    bay: Annotated[Bay | None, "bay it is in"] = None
    width_mm: Annotated[Side | None, "breadth; a numbered one's is the plan's unless given"] = None
    height_mm: Annotated[Side | None, "height; a numbered one's is the plan's unless given"] = None
    x_m: Annotated[Position | None, "its middle from the left edge, where measured"] = None
    height_m: Annotated[Position | None, "its middle from the lower edge, where measured"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Patch(OfCavity):
    """What closes one hole: size, tape and how are the plan's unless given."""

    number: Annotated[int | None, Range(1, 100_000), "number of the plan's hole"] = None
    tag: Annotated[Label | None, "tag of the hole; a sample's hole has its entry's id"] = None
    width_mm: Annotated[Side | None, "breadth"] = None
    height_mm: Annotated[Side | None, "height"] = None
    tape: Annotated[Label | None, "what it is made of"] = None
    wiped: Annotated[bool | None, "whether the surface was wiped first"] = None
    pressed_on: Annotated[bool | None, "whether it was rubbed down"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Found(OfCavity):
    """What was found to be otherwise than surveyed; volume, window, R and U follow it."""

    depth_mm: Annotated[tuple[Side, ...], Several(0, 10), "readings of the total depth, or of `layer`"] = ()
    layer: Annotated[int | None, Range(1, 6), "number of the layer from the outside in"] = None
    members: Annotated[int | None, Range(2, 1000), "members, both edges included, evenly spread"] = None
    members_at_m: Annotated[tuple[Position, ...], Several(0, 1000), "left edges of the members"] = ()
    member_mm: Annotated[float | None, Unit("mm"), Range(1, 1000), "breadth of a member"] = None
    bay: Annotated[Bay | None, "bay that `state` is about"] = None
    state: Annotated[BayState | None, "how the bay was met"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Check(Entry):
    """The answer to a hold point, for one part where it is asked of each."""

    code: Annotated[Label, "the hold point"]
    answer: Annotated[Answer, "what was found"]
    cavity: Annotated[Label | None, "part, where it is asked of each"] = None
    reading: Annotated[float | None, Range(-1000, 1_000_000), "in the point's unit"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """One general hold point and its answer."""

    code: Annotated[Label, "the hold point"]
    answer: Annotated[Answer, "what was found"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checks(Entry):
    """General hold points shown on one screen and answered by one person."""

    points: Annotated[tuple[Answered, ...], Several(1, 100), "each point with its answer"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery(Entry):
    """Material that came, from the maker or from another job; and what went back or was left in the end."""

    material: Annotated[Label | None, "code of the material"] = None
    lot: Annotated[Label | None, "lot on the label"] = None
    bags: Annotated[Bags | None, "bags that came"] = None
    mass_kg: Annotated[Mass | None, "what came from another job, weighed"] = None
    from_job: Annotated[Label | None, "number of the job that left it over or vacuumed it up"] = None
    returned: Annotated[Counted | None, "sent back"] = None
    left_over: Annotated[Counted | None, "left in the end, of its lot or of all; the last count holds"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reclaimed(Entry):
    """Spill that was vacuumed up; 0 is an answer."""

    mass_kg: Annotated[Mass | None, "vacuumed up, weighed"] = None
    bags: Annotated[Counted | None, "vacuumed up"] = None
    cavities: Annotated[tuple[Label, ...], Several(0, 500), "parts it came from, where known"] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthCheck(OfCavity):
    """Open blow: thicknesses measured as blown, and the markers counted in the part."""

    depths_mm: Annotated[tuple[Side, ...], Several(1, 500), "thicknesses as blown"]
    markers: Annotated[int, Range(0, 10_000), "markers counted"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AirTest(Entry):
    """An air-tightness test (subjects of ISO 9972), before or after filling."""

    before_or_after: Annotated[Stage, "before filling, or after it"]
    tested_by: Annotated[Label, "who made the test"]
    n50_per_h: Annotated[float | None, Unit("1/h"), Range(0.001, 100), "air changes at 50 Pa"] = None
    q50_m3_h_m2: Annotated[float | None, Unit("m3/hm2"), Range(0.001, 100), "air permeability at 50 Pa"] = (
        None
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class BagCheck(Entry):
    """Bags weighed one by one, net."""

    masses_kg: Annotated[
        tuple[Annotated[float, Unit("kg"), Range(0.1, 100)], ...], Several(2, 200), "net mass of each bag"
    ]
    lot: Annotated[Label | None, "lot of the bags, where there are several"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Entry):
    """Time spent, on the job or on a part of it."""

    people: Annotated[int, Range(1, 100), "how many worked"]
    hours: Annotated[float, Unit("h"), Range(0.05, 24), "how long each of them"]
    cavity: Annotated[Label | None, "part, where it was one"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Entry):
    """Anything worth keeping, in its remark."""

    cavity: Annotated[Label | None, "part, where it is about one"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction(Entry):
    """An entry that was wrong; its `replacement`, an entry of any other kind, takes its place, or nothing."""

    entry: Annotated[Id, "id of the entry that was wrong"]
    reason: Annotated[Prose, "why"]


KINDS: Mapping[str, type[Entry]] = {
    "tally": Tally,
    "fill": Fill,
    "core": Core,
    "block": Block,
    "box": Box,
    "hole": Hole,
    "patch": Patch,
    "found": Found,
    "check": Check,
    "checks": Checks,
    "delivery": Delivery,
    "reclaimed": Reclaimed,
    "depth_check": DepthCheck,
    "air_test": AirTest,
    "bag_check": BagCheck,
    "hours": Hours,
    "note": Note,
}
"""Every kind that says something; `correction` says what takes the place of another."""
