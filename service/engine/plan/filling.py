"""How a cavity is filled: the method to take and the plan a crew works by."""

from collections import Counter
from dataclasses import dataclass

from service.engine.geometry.compartments import Compartment, Part
from service.engine.geometry.geometry import Geometry
from service.engine.geometry.layout import upright
from service.engine.ground.vocabulary import Facing, Fill, Method
from service.engine.plan.holes import Hole, Size, part_size
from service.engine.plan.options import Option, Task, Way, hole_list, way
from service.engine.plan.sequence import Step, sequence
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Practice
from service.errors import Fault, InvalidInput

FACING_NOTES = {
    Facing.MEMBRANE: (
        "Cut the membrane with rounded corners. After filling wipe it free of dust and fibre, press a patch "
        "on every cut and rub it down."
    ),
    Facing.NETTING: (
        "Cut the netting between its fixings. Close every cut the same day: wipe, press the patch on, rub it "
        "down."
    ),
    Facing.BOARD: (
        "Find cables and pipes before drilling the board. After filling plug every hole flush and patch it."
    ),
    Facing.LINING: (
        "Find cables and pipes behind the existing lining, have the licensed trade make them safe before "
        "drilling it. After filling plug every hole flush, patch it and make the surface good."
    ),
}
UNPLACED = (
    "Openings whose place was not given are not cut out of the bays: the kilograms are known in total, but "
    "not bay by bay, so force no share of them into a bay. Each part of a bay above, below or beside one "
    "needs a hole of its own, which the list of holes does not have."
)
UNMEASURED = (
    "The members were not measured: count the bays on site. The list of holes takes the cavity for one bay; "
    "each bay needs a hole of its own."
)
AFTER_LANCE = (Method.SEVERAL_HOSES, Method.DIVIDED_BAYS)  # where fill spills and no lance reaches


@dataclass(frozen=True, slots=True, kw_only=True)
class FillPlan:
    """What a crew fills a cavity by.

    `alternatives` holds every method, the chosen one among them. `holes`,
    `patches`, `tape_m`, `strip_m` and `hours` are of all the identical cavities,
    `hole_list` and `sequence` of each. `lance_reach_m` is how far the lance gets
    from a hole, either way. `hours` leave out the job's set-up and cleaning.
    `notes` are for the crew.
    """

    method: Method
    reason: str
    alternatives: tuple[Option, ...]
    holes: int
    hole_list: tuple[Hole, ...]
    sequence: tuple[Step, ...]
    lance: str | None
    lance_reach_m: float | None
    hours: float
    patches: int
    tape_m: float
    strip_m: float
    settings: str
    patch_width_mm: float
    patch_height_mm: float
    notes: tuple[str, ...]


def fill_plan(
    *,
    cavity: Cavity,
    geometry: Geometry,
    compartments: tuple[Compartment, ...],
    parts: tuple[Part, ...],
    mass_kg: float,
    practice: Practice,
    lances: tuple[Lance, ...],
) -> FillPlan:
    """The plan for a cavity (`mass_kg` is of all identical ones), with every method beside it.

    Bays that are closed off take a plain hose. Where fill moves from bay to bay,
    a lance goes through the spill if one of `lances` reaches; else hoses laid
    beforehand or dividing strips, whichever takes fewer hours.

    The practice profile has rates for every method. Raises InvalidInput at `/facing`
    where a dense fill has nothing to be blown against, and at `/width_m` where it
    would take far more holes than any cavity does.
    """
    if cavity.lies is Fill.DENSE and cavity.facing is Facing.NONE:
        raise InvalidInput(Fault("/facing", "A dense fill needs a facing to be blown against."))
    roomy = with_room(parts=parts, narrowest_mm=practice.rates.narrowest_mm)
    task = Task(
        cavity=cavity,
        upright=upright(cavity=cavity),
        parts=roomy,
        sizes=Counter(size for _, size in roomy),
        spills=any(compartment.spills for compartment in compartments),
        mass_kg=mass_kg,
        practice=practice,
        lances=lances,
    )
    ways = {method: way(task=task, method=method) for method in Method}
    chosen = _choice(task=task, ways=ways)
    option, holes = chosen.option, hole_list(task=task, way=chosen)
    return FillPlan(
        method=option.method,
        reason=_reason(option=option, lance=ways[Method.LANCE].option),
        alternatives=tuple(each.option for each in ways.values()),
        holes=cavity.count * len(holes),
        hole_list=holes,
        sequence=sequence(compartments=compartments, method=option.method, sampling=practice.sampling),
        lance=option.lance,
        lance_reach_m=chosen.reach_m if option.lance else None,
        hours=chosen.hours,
        patches=cavity.count * len(holes),
        tape_m=option.tape_m,
        strip_m=option.strip_m,
        settings=chosen.settings,
        patch_width_mm=chosen.patch.width_mm,
        patch_height_mm=chosen.patch.height_mm,
        notes=_notes(cavity=cavity, bays_known=geometry.bays_known, holes=holes),
    )


def with_room(*, parts: tuple[Part, ...], narrowest_mm: float) -> tuple[tuple[Part, Size], ...]:
    """The parts that anything can be blown into, with their sizes; all of them where that leaves none."""
    sized = tuple((part, part_size(part=part)) for part in parts)
    return (
        tuple((part, size) for part, size in sized if narrowest_mm <= min(size.width_mm, size.height_mm))
        or sized
    )


def _choice(*, task: Task, ways: dict[Method, Way]) -> Way:
    if task.cavity.lies is Fill.OPEN:
        wanted: tuple[Method, ...] = (Method.OPEN_BLOW,)
    elif not task.spills:
        wanted = (Method.HOSE,)
    elif ways[Method.LANCE].option.works:
        wanted = (Method.LANCE,)
    else:
        wanted = AFTER_LANCE
    chosen = min((ways[method] for method in wanted), key=lambda each: each.hours)
    if not chosen.option.works:
        raise InvalidInput(Fault("/width_m", f"{chosen.option.reason} Describe the cavity as several."))
    return chosen


def _reason(*, option: Option, lance: Option) -> str:
    """Why the method was taken; where a lance would have come first, also why there is none."""
    if option.method not in AFTER_LANCE:
        return option.reason
    return f"{option.reason} Of the ways left it takes the fewest hours. {lance.reason}"


def _notes(*, cavity: Cavity, bays_known: bool, holes: tuple[Hole, ...]) -> tuple[str, ...]:
    if not holes:
        return ()
    notes = (
        FACING_NOTES[cavity.facing],
        "" if bays_known else UNMEASURED,
        UNPLACED if cavity.unplaced else "",
    )
    return tuple(note for note in notes if note)
