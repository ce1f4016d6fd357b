"""The working behind a cavity's holes, their patches and tape, and how far a lance gets from them."""

from collections import Counter
from collections.abc import Iterator

from service.engine.ground.explanation import Explanation, explained
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.holes import HOLES, PATCH, TAPE
from service.engine.plan.lances import LANCE_REACH
from service.engine.plan.options import Way
from service.engine.survey.practice import Practice


def explain_holes(*, at: str, planned: CavityTakeoff, practice: Practice, way: Way) -> Iterator[Explanation]:
    """Explain the holes of the cavity at pointer `at`, by the way that they are made."""
    yield from _reach(f"{at}/fill_plan", planned, practice, way)
    yield from _holes(f"{at}/fill_plan", planned, practice, way)


def _reach(at: str, planned: CavityTakeoff, practice: Practice, way: Way) -> Iterator[Explanation]:
    plan, fit = planned.fill_plan, way.fit
    if plan.lance_reach_m is None or fit is None:
        return
    lance = fit.lance
    yield explained(
        f"{at}/lance_reach_m",
        plan.lance_reach_m,
        LANCE_REACH,
        length_mm=lance.length_mm,
        held_mm=practice.lance_use.held_mm,
        room_mm=fit.room_mm,
        diameter_mm=lance.diameter_mm,
        slit_mm=fit.slit_mm,
        curve_deg=lance.curve_deg,
    )


def _holes(at: str, planned: CavityTakeoff, practice: Practice, way: Way) -> Iterator[Explanation]:
    plan, patching = planned.fill_plan, practice.patching
    if not plan.hole_list:
        return
    of_part = Counter((hole.bay, hole.part) for hole in plan.hole_list)
    yield explained(
        f"{at}/holes", plan.holes, HOLES, count=planned.count, holes_of_part=list(of_part.values())
    )
    yield explained(f"{at}/patches", plan.patches, HOLES, holes=plan.holes)
    hole = way.hole
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
