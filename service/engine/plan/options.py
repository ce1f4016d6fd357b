"""Every way of filling a cavity, side by side: whether it works, why, and what it takes."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter
from typing import Annotated, NamedTuple

from service.engine.geometry.bays import bay_edges_m, members
from service.engine.geometry.compartments import Part
from service.engine.geometry.layout import is_turned
from service.engine.ground.formula import Formula
from service.engine.ground.known import Known
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import Hours, Metres
from service.engine.ground.vocabulary import Facing, Fill, Method, Runs, Standing
from service.engine.plan.behind_facing import clear_of_timber
from service.engine.plan.holes import Hole, Size, holes_in, patch_size, place, tape_m
from service.engine.plan.hours import cavity_hours
from service.engine.plan.lances import (
    LanceFit,
    best_fit,
    clear_depth_mm,
    entered,
    lance_fits,
    refusals,
    useful,
)
from service.engine.plan.under_edge import member_m, under_edge
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Practice
from service.engine.survey.rates import MethodRates
from service.engine.survey.sourced import Texts

STRIP = Formula(
    code="strip",
    expression="count x (bays - 1) x member_m x strip_per_m",
    source="a strip at each member between two bays, from end to end",
    standing=Standing.DERIVED,
)

SOFT = (Facing.MEMBRANE, Facing.NETTING)  # facings that can be slit; all others are drilled
MOST_HOLES = 5000  # of one cavity: far more than a wall takes, so that a slip of the unit is found
NOTHING = Size(width_mm=0.0, height_mm=0.0)
NO_TEXTS: Texts = {}

FILL_LIES_OPEN = message("plan.fill_lies_open")
CAVITY_IS_CLOSED = message("plan.cavity_is_closed")
BAYS_SPILL = message("plan.bays_spill")
BAYS_CLOSED_OFF_ALREADY = message("plan.bays_closed_off_already")
LINING_IS_UP = message("plan.lining_is_up")
STRIPS_NEED_MEMBERS = message("plan.strips_need_members")
LEAVES_DIFFER = message("plan.leaves_differ")
NO_LANCE = message("plan.no_lance")

# Why another method works here, by whether fill spills from bay to bay.
_WORKS = {
    (Method.HOSE, False): message("plan.plain_hose"),
    (Method.SEVERAL_HOSES, False): message("plan.hoses_not_needed"),
    (Method.SEVERAL_HOSES, True): message("plan.hoses_beforehand"),
    (Method.DIVIDED_BAYS, True): message("plan.strips_divide"),
    (Method.OPEN_BLOW, False): message("plan.blown_open"),
    (Method.OPEN_BLOW, True): message("plan.blown_open"),
}


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One method for a cavity.

    Hours, holes, metres of strip and of tape are of all the identical cavities;
    None or nothing where the method does not work. `lance` is a lance's code.
    """

    method: Annotated[Method, "way of filling"]
    works: Annotated[bool, "whether it works here"]
    reason: Annotated[Message, "why, or why not"]
    hours: Annotated[Hours | None, "hours for all the identical cavities"] = None
    holes: Annotated[int | None, "holes for all the identical cavities"] = None
    lance: Annotated[str | None, "code of the lance"] = None
    strip_m: Annotated[Metres, "dividing strip"] = 0.0
    tape_m: Annotated[Metres, "tape"] = 0.0


_option = maker(Option)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is to be filled, and with what.

    `mass_kg` is of all the identical cavities, `parts` are those of one, each with its
    size, and `sizes` says how many have each size; they lie in so many `bays`: one that an
    opening takes up is none. `upright` is the cavity with its bays along the span.
    `spills`: fill moves from bay to bay. `known` is of the practice and the lances.
    """

    cavity: Cavity
    upright: Cavity
    parts: tuple[tuple[Part, Size], ...]
    sizes: Mapping[Size, int]
    bays: int
    spills: bool
    mass_kg: float
    practice: Practice
    lances: tuple[Lance, ...]
    known: Known


class Way(NamedTuple):
    """An option with what its holes are placed by, their patch, the practice's settings and its lance.

    A way that does not work takes for ever: `hours` is infinite.
    """

    option: Option
    hours: float = math.inf
    hole: Size = NOTHING
    reach_m: float | None = None
    tool_mm: float = 0.0
    patch: Size = NOTHING
    settings: Texts = NO_TEXTS
    fit: LanceFit | None = None


def way(*, task: Task, method: Method) -> Way:
    """One method for a task, worked out if it works.

    A method that does not work is an option all the same and says why. The practice
    profile has rates for every method.
    """
    if obstacle := _obstacle(task=task, method=method):
        return _no_way(method, obstacle)
    terms, fit = _terms_of(task, method), None
    if method is Method.LANCE:
        fit = _best_lance(task, terms.hole)
        if fit is None:
            return _no_way(method, _unfit(task, terms.hole))
    holes = fit.holes if fit else holes_in(sizes=task.sizes, reach_m=terms.rates.reach_m)
    if holes > MOST_HOLES:
        return _no_way(method, message("plan.too_many_holes", most=MOST_HOLES))
    return _worked_out(task, terms, fit, holes)


def hole_list(*, task: Task, way: Way) -> tuple[Hole, ...]:
    """The holes of one cavity that a way makes; none where it needs none."""
    if way.hole == NOTHING:
        return ()
    holes = place(parts=task.parts, hole=way.hole, reach_m=way.reach_m, tool_mm=way.tool_mm)
    parts = [part for part, _ in task.parts]
    clear = clear_of_timber(holes=holes, parts=parts, cavity=task.cavity, standing=task.upright)
    return under_edge(holes=clear, parts=parts, cavity=task.cavity)


def rates_of(*, practice: Practice, method: Method) -> MethodRates:
    """What the practice profile says of a method."""
    for rates in practice.rates.methods:
        if rates.method is method:
            return rates
    raise LookupError(method)


def _no_way(method: Method, reason: Message) -> Way:
    return Way(option=_option(method=method, works=False, reason=reason))


class _Terms(NamedTuple):
    """What a method works by in every cavity of a kind: its rates, its hole, and the patch that closes it.

    `tape_m` is the tape of one patch. Nothing where there is no hole.
    """

    rates: MethodRates
    hole: Size
    patch: Size
    tape_m: float


def _terms_of(task: Task, method: Method) -> _Terms:
    cavity = task.cavity
    soft, turned = cavity.facing in SOFT, task.upright is not cavity
    return task.known.of((method, soft, turned), lambda: _terms(cavity, method, task.practice))


def _terms(cavity: Cavity, method: Method, practice: Practice) -> _Terms:
    rates, patching = rates_of(practice=practice, method=method), practice.patching
    hole = hole_size(cavity=cavity, rates=rates, slit_mm=practice.lance_use.slit_mm)
    if hole == NOTHING:
        return _Terms(rates=rates, hole=NOTHING, patch=NOTHING, tape_m=0.0)
    patch = patch_size(hole=hole, patching=patching)
    tape = tape_m(patches=1, patch=patch, patching=patching)
    return _Terms(rates=rates, hole=hole, patch=patch, tape_m=tape)


def _worked_out(task: Task, terms: _Terms, fit: LanceFit | None, holes_of_one: int) -> Way:
    count, (rates, hole, patch, tape_of_one_m) = task.cavity.count, terms
    holes = count * holes_of_one if hole != NOTHING else 0
    hours = cavity_hours(
        mass_kg=task.mass_kg,
        holes=holes,
        patches=holes,
        bays=task.bays,
        count=count,
        method=rates,
        rates=task.practice.rates,
    )
    strip_m = rates.strip_per_m and rates.strip_per_m * member_m(sized=task.parts, cavity=task.upright)
    option = _option(
        method=rates.method,
        works=True,
        reason=_lance_reason(task, fit) if fit else _WORKS[rates.method, task.spills],
        hours=hours,
        holes=holes,
        lance=fit.lance.code if fit else None,
        strip_m=count * max(0, task.bays - 1) * strip_m,
        tape_m=holes * tape_of_one_m,
    )
    reach_m, tool_mm = (fit.reach_m, fit.lance.diameter_mm) if fit else (rates.reach_m, rates.hole_mm)
    return Way(option, hours, hole, reach_m, tool_mm, patch, rates.settings, fit)


def hole_size(*, cavity: Cavity, rates: MethodRates, slit_mm: float) -> Size:
    """The hole that a method makes where there is room; for a lance a slit along the bay in a soft facing."""
    slit = rates.method is Method.LANCE and cavity.facing in SOFT
    along_mm = max(slit_mm, rates.hole_mm) if slit else rates.hole_mm
    if is_turned(cavity=cavity):
        return Size(width_mm=along_mm, height_mm=rates.hole_mm)
    return Size(width_mm=rates.hole_mm, height_mm=along_mm)


def _best_lance(task: Task, hole: Size) -> LanceFit | None:
    _, usable = _lances(task, hole)
    least_mm = task.practice.lance_use.least_reach_mm
    return best_fit(fits=lance_fits(entered=usable, sizes=task.sizes, least_reach_mm=least_mm))


def _lances(task: Task, hole: Size) -> tuple[tuple[LanceFit, ...], tuple[LanceFit, ...]]:
    """The lances in the hole and the depth, as the contractor lists them, and those to choose from."""
    depth_mm, use = clear_depth_mm(cavity=task.upright), task.practice.lance_use

    def found() -> tuple[tuple[LanceFit, ...], tuple[LanceFit, ...]]:
        in_depth = entered(lances=task.lances, depth_mm=depth_mm, hole=hole, use=use)
        return in_depth, useful(entered=in_depth)

    return task.known.of(("lances", depth_mm, hole), found)


def _unfit(task: Task, hole: Size) -> Message:
    """Why no lance fits: all of them by the limit that fails."""
    in_depth, _ = _lances(task, hole)
    limits: dict[Message, list[str]] = {}
    least_mm = task.practice.lance_use.least_reach_mm
    refused = refusals(entered=in_depth, sizes=task.sizes, least_reach_mm=least_mm)
    for limit, row in groupby(refused, key=itemgetter(1)):  # most in a row fail by the same
        limits.setdefault(limit, []).extend([code for code, _ in row])
    said = [
        message("plan.lances_refused", lances=tuple(codes), refusal=limit) for limit, codes in limits.items()
    ]
    return message("plan.no_lance_fits", refusals=tuple(said)) if in_depth else NO_LANCE


def _obstacle(*, task: Task, method: Method) -> Message | None:
    """Why a method cannot work here whatever the rates, or nothing."""
    if task.cavity.lies is Fill.OPEN:
        return None if method is Method.OPEN_BLOW else FILL_LIES_OPEN
    if method is Method.OPEN_BLOW:
        return CAVITY_IS_CLOSED
    if method is Method.HOSE and task.spills:
        return BAYS_SPILL
    return _no_strips(task=task) if method is Method.DIVIDED_BAYS else None


def _no_strips(*, task: Task) -> Message | None:
    if not task.spills:
        return BAYS_CLOSED_OFF_ALREADY
    if task.cavity.facing is Facing.LINING:
        return LINING_IS_UP
    framings = [members(layer=layer) for layer in task.upright.layers if layer.framing]
    if not framings or any(framing is None or framing.runs is Runs.ACROSS for framing in framings):
        return STRIPS_NEED_MEMBERS
    width_m = task.upright.width_m
    if all(framing == framings[0] for framing in framings):
        return None
    bays = {len(bay_edges_m(framing=framing, across_m=width_m)) for framing in framings if framing}
    return LEAVES_DIFFER if len(bays) > 1 else None


def _lance_reason(task: Task, fit: LanceFit) -> Message:
    """Why a lance works here."""
    return message(
        "plan.lance_goes_through_spill" if task.spills else "plan.lance_not_needed",
        lance=fit.lance.code,
        length=Quantity(fit.lance.length_mm, "mm"),
        diameter=Quantity(fit.lance.diameter_mm, "mm"),
        reach=Quantity(fit.reach_m, "m"),
    )
