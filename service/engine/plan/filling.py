"""How a cavity is filled: the method to take and the plan a crew works by."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.geometry.compartments import Compartment, Part
from service.engine.geometry.geometry import Geometry
from service.engine.geometry.layout import upright
from service.engine.ground.known import Known
from service.engine.ground.messages import Message, message
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import Hours, Metres, Millimetres
from service.engine.ground.vocabulary import Facing, Fill, Method
from service.engine.ground.working import Working
from service.engine.plan.holes import Hole, Size, counted, passes, sized
from service.engine.plan.options import Option, Task, Way, hole_list, way
from service.engine.plan.proof import ProofPlan
from service.engine.plan.sequence import Step, sequence
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Practice
from service.engine.survey.sourced import Texts
from service.errors import Fault, InvalidInput

FACING_NOTES = {
    Facing.MEMBRANE: message("plan.cut_membrane"),
    Facing.NETTING: message("plan.cut_netting"),
    Facing.BOARD: message("plan.drill_board"),
    Facing.LINING: message("plan.drill_lining"),
}
METHODS = tuple(Method)
NONE: frozenset[int] = frozenset()
AFTER_LANCE = (Method.SEVERAL_HOSES, Method.DIVIDED_BAYS)  # where fill spills and no lance reaches


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class FillPlan:
    """What a crew fills a cavity by.

    `alternatives` holds every method, the chosen one among them. `holes`,
    `patches`, `tape_m`, `strip_m` and `hours` are of all the identical cavities,
    `hole_list` and `sequence` of each. `lance_reach_m` is how far the lance gets
    from a hole, either way. `hours` leave out the job's set-up and cleaning.
    `notes` are for the crew.
    """

    method: Annotated[Method, "way of filling"]
    reason: Annotated[Message, "why this one"]
    alternatives: Annotated[tuple[Option, ...], "every method, the chosen one among them"]
    holes: Annotated[int, "holes for all the identical cavities"]
    hole_list: Annotated[tuple[Hole, ...], "the holes of each cavity"]
    sequence: Annotated[tuple[Step, ...], "the bays of each cavity in their order"]
    lance: Annotated[str | None, "code of the lance"]
    lance_reach_m: Annotated[Metres | None, "how far the lance gets from a hole, either way"]
    hours: Annotated[Hours, "hours without set-up and cleaning"]
    patches: Annotated[int, "patches for all the identical cavities"]
    tape_m: Annotated[Metres, "tape"]
    strip_m: Annotated[Metres, "dividing strip"]
    settings: Annotated[Texts, "settings of the machine, by language"]
    patch_width_mm: Annotated[Millimetres, "breadth of a patch"]
    patch_height_mm: Annotated[Millimetres, "height of a patch"]
    proof: Annotated[ProofPlan | None, "how the density of a dense fill is proven"]
    notes: Annotated[tuple[Message, ...], "what the crew must know"]


_fill_plan = maker(FillPlan)


def fill_plan(
    *,
    cavity: Cavity,
    geometry: Geometry,
    compartments: tuple[Compartment, ...],
    parts: tuple[Part, ...],
    mass_kg: float,
    practice: Practice,
    lances: tuple[Lance, ...],
    proof: ProofPlan | None = None,
    working: Working | None = None,
    known: Known | None = None,
) -> FillPlan:
    """The plan for a cavity (`mass_kg` is of all identical ones), with every method beside it.

    Bays that are closed off take a plain hose. Where fill moves from bay to bay,
    a lance goes through the spill if one of `lances` reaches; else hoses laid
    beforehand or dividing strips, whichever takes fewer hours.

    The practice profile has rates for every method. Raises InvalidInput at `/facing`
    where a dense fill has nothing to be blown against, and at `/width_m` where it
    would take far more holes than any cavity does. `known` is handed on from cavity to
    cavity of the same practice and lances.
    """
    if cavity.lies is Fill.DENSE and cavity.facing is Facing.NONE:
        raise InvalidInput(Fault("/facing", message("plan.no_facing")))
    known = known or Known()
    tool_mm = known.of("smallest tool", lambda: smallest_tool_mm(practice=practice, lances=lances))
    roomy = with_room(parts=parts, tool_mm=tool_mm)
    in_reach = frozenset([part[0] for part, _ in roomy])
    all_in = len(roomy) == len(parts) or cavity.lies is not Fill.DENSE
    by_hand = NONE if all_in else frozenset([part[0] for part in parts]) - in_reach
    task = Task(
        cavity=cavity,
        upright=upright(cavity=cavity),
        parts=roomy,
        sizes=counted(sized=roomy),
        bays=len(in_reach),
        spills=bool([each for each in compartments if each.spills]),
        mass_kg=mass_kg,
        practice=practice,
        lances=lances,
        known=known,
    )
    ways = {method: way(task=task, method=method) for method in METHODS}
    chosen = _choice(task=task, ways=ways)
    if working:
        working.keep(task)
        working.keep(chosen)
    option, holes = chosen.option, hole_list(task=task, way=chosen)
    order = sequence(
        compartments=compartments, method=option.method, sampling=practice.sampling, by_hand=by_hand
    )
    notes = _notes(cavity=cavity, bays_known=geometry.bays_known, holes=holes, by_hand=by_hand)
    return _plan(task, ways, chosen, holes, order, proof, notes)


def _plan(
    task: Task,
    ways: dict[Method, Way],
    chosen: Way,
    holes: tuple[Hole, ...],
    order: tuple[Step, ...],
    proof: ProofPlan | None,
    notes: tuple[Message, ...],
) -> FillPlan:
    option, count = chosen.option, task.cavity.count
    return _fill_plan(
        method=option.method,
        reason=_reason(option=option, lance=ways[Method.LANCE].option),
        alternatives=tuple([each.option for each in ways.values()]),
        holes=count * len(holes),
        hole_list=holes,
        sequence=order,
        lance=option.lance,
        lance_reach_m=chosen.reach_m if option.lance else None,
        hours=chosen.hours,
        patches=count * len(holes),
        tape_m=option.tape_m,
        strip_m=option.strip_m,
        settings=chosen.settings,
        patch_width_mm=chosen.patch.width_mm,
        patch_height_mm=chosen.patch.height_mm,
        proof=proof,
        notes=notes,
    )


def smallest_tool_mm(*, practice: Practice, lances: tuple[Lance, ...]) -> float:
    """The thinnest of the firm's hoses and lances."""
    rates = practice.rates
    holes = (each.hole_mm for each in rates.methods if each.hole_mm and each.method is not Method.LANCE)
    hose_mm = min(holes, default=0.0) if rates.hose_mm is None else rates.hose_mm
    return min((hose_mm, *(lance.diameter_mm for lance in lances)))


def with_room(*, parts: tuple[Part, ...], tool_mm: float) -> tuple[tuple[Part, Size], ...]:
    """The parts that the thinnest hose or lance goes into, with their sizes."""
    found = sized(parts=parts)
    narrow = [size for size in {size for _, size in found} if not passes(size=size, tool_mm=tool_mm)]
    return tuple([each for each in found if each[1] not in narrow] if narrow else found)


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
        raise InvalidInput(Fault("/width_m", message("plan.no_method", reason=chosen.option.reason)))
    return chosen


def _reason(*, option: Option, lance: Option) -> Message:
    """Why the method was taken; where a lance would have come first, also why there is none."""
    if option.method not in AFTER_LANCE:
        return option.reason
    return message("plan.fewest_hours", reason=option.reason, lance=lance.reason)


def _notes(
    *, cavity: Cavity, bays_known: bool, holes: tuple[Hole, ...], by_hand: frozenset[int]
) -> tuple[Message, ...]:
    narrow = (message("plan.narrow_bays", bays=tuple(sorted(by_hand))),) if by_hand else ()
    if not holes:
        return narrow
    return (
        FACING_NOTES[cavity.facing],
        *(() if bays_known else (message("plan.unmeasured_members"),)),
        *((message("plan.unplaced_openings"),) if cavity.unplaced else ()),
        *narrow,
    )
