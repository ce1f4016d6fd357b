"""The working behind a cavity's holes, their patches and tape, and how far a lance gets from them."""

from collections import Counter
from collections.abc import Iterator

from service.engine.geometry.layout import upright
from service.engine.ground.explanation import Explanation, explained
from service.engine.plan.holes import HOLES, PATCH, TAPE, Size
from service.engine.plan.lances import LANCE_REACH, clear_depth_mm
from service.engine.plan.options import hole_size, rates_of
from service.engine.plan.takeoff import CavityTakeoff
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Practice


def explain_holes(
    *, at: str, surveyed: Cavity, planned: CavityTakeoff, practice: Practice, lances: tuple[Lance, ...]
) -> Iterator[Explanation]:
    """Explain the holes of the cavity at pointer `at`; `lances` are those that it was planned with."""
    yield from _reach(f"{at}/fill_plan", surveyed, planned, practice, lances)
    yield from _holes(f"{at}/fill_plan", surveyed, planned, practice)


def _reach(
    at: str, surveyed: Cavity, planned: CavityTakeoff, practice: Practice, lances: tuple[Lance, ...]
) -> Iterator[Explanation]:
    plan, use = planned.fill_plan, practice.lance_use
    if plan.lance_reach_m is None:
        return
    lance = next(each for each in lances if each.code == plan.lance)
    hole = _hole(surveyed, planned, practice)
    yield explained(
        f"{at}/lance_reach_m",
        plan.lance_reach_m,
        LANCE_REACH,
        length_mm=lance.length_mm,
        held_mm=use.held_mm,
        room_mm=clear_depth_mm(cavity=upright(cavity=surveyed)) - lance.diameter_mm,
        diameter_mm=lance.diameter_mm,
        slit_mm=max(hole.width_mm, hole.height_mm),
        curve_deg=lance.curve_deg,
    )


def _hole(surveyed: Cavity, planned: CavityTakeoff, practice: Practice) -> Size:
    rates = rates_of(practice=practice, method=planned.fill_plan.method)
    return hole_size(cavity=surveyed, rates=rates, slit_mm=practice.lance_use.slit_mm)


def _holes(at: str, surveyed: Cavity, planned: CavityTakeoff, practice: Practice) -> Iterator[Explanation]:
    plan, patching = planned.fill_plan, practice.patching
    if not plan.hole_list:
        return
    of_part = Counter((hole.bay, hole.part) for hole in plan.hole_list)
    yield explained(
        f"{at}/holes", plan.holes, HOLES, count=planned.count, holes_of_part=list(of_part.values())
    )
    yield explained(f"{at}/patches", plan.patches, HOLES, holes=plan.holes)
    hole = _hole(surveyed, planned, practice)
    for name, patch_mm, hole_mm in (
        ("patch_width_mm", plan.patch_width_mm, hole.width_mm),
        ("patch_height_mm", plan.patch_height_mm, hole.height_mm),
    ):
        past_mm = patching.past_hole_mm
        yield explained(f"{at}/{name}", patch_mm, PATCH, hole_mm=hole_mm, past_hole_mm=past_mm)
    yield explained(
        f"{at}/tape_m",
        plan.tape_m,
        TAPE,
        patches=plan.patches,
        patch_width_mm=plan.patch_width_mm,
        patch_height_mm=plan.patch_height_mm,
        roll_mm=patching.roll_mm,
        lap_mm=patching.lap_mm,
    )
