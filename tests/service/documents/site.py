"""What a careful crew writes down in a day, for the documents' tests."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from math import pi

from service.engine.ground.vocabulary import Answer, Facing, Feel, Stage
from service.engine.plan.cavity_takeoff import CavityTakeoff
from service.engine.plan.takeoff import Takeoff
from service.engine.site.entries import (
    AirTest,
    BagCheck,
    Check,
    Core,
    Delivery,
    DepthCheck,
    Fill,
    Patch,
    Reclaimed,
    Tally,
)
from service.engine.site.entry import Entry
from service.engine.site.holes_told import HolesMade, Patched
from service.engine.site.ledger import Ledger
from service.engine.survey.cavity import Cavity

MORNING = datetime(2026, 11, 23, 7, 30, tzinfo=UTC)
CORE_MM = 100.0
BAG_KG = 12.6
AS_BLOWN = (1.06, 1.03, 1.08, 1.05, 1.04, 1.06, 1.05, 1.07)

Job = list[tuple[Cavity, CavityTakeoff]]
Clock = Iterator[int]


def ledger(parts: tuple[Cavity, ...], plan: Takeoff, off: str | None) -> Ledger:
    """A day's entries; the part named by `off` gets 86 % of its material."""
    clock = count()
    job = list(zip(parts, plan.cavities, strict=True))
    dense = [(cavity, planned) for cavity, planned in job if planned.density]
    opened = [(cavity, planned) for cavity, planned in job if planned.open_blow]
    before = tuple(_answers(plan, Stage.BEFORE, clock))
    fills = (*_fills(dense, off, clock), *_open_fills(opened, clock))
    tallies = tuple(_tallies(job, clock))
    samples = tuple(_samples(dense, off, clock))
    blown_bags = round(sum(fill.mass_kg or 0 for fill in fills) / BAG_KG)
    entries: tuple[Entry, ...] = (
        *before,
        BagCheck(**_entry(clock), masses_kg=(12.6, 12.7, 12.5, 12.6, 12.6)),
        *fills,
        *tallies,
        *samples,
        *(_patch(each, clock) for each in samples),
        *_depths(opened, clock),
        *_answers(plan, Stage.AFTER, clock),
        Reclaimed(**_entry(clock), mass_kg=0.0),
        Delivery(**_entry(clock), bags=blown_bags + 6, lot="L-7", left_over=6),
        AirTest(**_entry(clock), before_or_after=Stage.AFTER, tested_by="Specimen Testing", n50_per_h=0.84),
    )
    return Ledger(entries=entries)


def _entry(clock: Clock) -> dict[str, str]:
    minute = next(clock)
    at = (MORNING + timedelta(minutes=minute)).isoformat().replace("+00:00", "Z")
    return {"id": f"e{minute:04}", "happened_at": at, "by": "C. Crew"}


def _share(cavity: Cavity, off: str | None) -> float:
    return 0.8 if cavity.label == off else 1.004


def _fills(job: Job, off: str | None, clock: Clock) -> Iterator[Fill]:
    for cavity, planned in job:
        room_m3 = sum(space.net_volume_m3 * len(space.bays) for space in planned.compartments)
        for space in planned.compartments:
            for bay in space.bays:
                uneven = 0.99 + 0.005 * (bay % 5)
                yield Fill(
                    **_entry(clock),
                    cavity=cavity.label,
                    bay=bay,
                    method=planned.fill_plan.method,
                    mass_kg=planned.mass_kg * _share(cavity, off) * uneven * space.net_volume_m3 / room_m3,
                    run_empty=True,
                    bulge_mm=18 if cavity.facing is Facing.NETTING else 0,
                )


def _open_fills(job: Job, clock: Clock) -> Iterator[Fill]:
    for cavity, planned in job:
        method = planned.fill_plan.method
        yield Fill(
            **_entry(clock),
            cavity=cavity.label,
            method=method,
            mass_kg=planned.mass_kg * 1.034,
            run_empty=True,
        )


def _tallies(job: Job, clock: Clock) -> Iterator[Tally]:
    """Every part done as planned, its bags noted by the bay."""
    for cavity, planned in job:
        if planned.fill_plan.holes:
            yield Tally(**_entry(clock), cavity=cavity.label, holes=HolesMade(), patched=Patched())


def _samples(job: Job, off: str | None, clock: Clock) -> Iterator[Core]:
    for cavity, planned in job:
        for space in planned.compartments:
            chosen = {*space.bays[3::5], space.bays[-1]} if space.shared else ()
            for bay in sorted((*chosen,) * cavity.count):
                density = planned.density.target_kg_m3.value * _share(cavity, off)
                yield Core(
                    **_entry(clock),
                    cavity=cavity.label,
                    bay=bay,
                    diameter_mm=CORE_MM,
                    length_mm=cavity.depth_mm,
                    mass_g=density * (1 + 0.005 * (bay % 5)) * pi / 4 * CORE_MM**2 * cavity.depth_mm / 1e6,
                    feel=Feel.FIRM,
                )


def _patch(each: Core, clock: Clock) -> Patch:
    return Patch(
        **_entry(clock),
        cavity=each.cavity,
        tag=each.id,
        width_mm=CORE_MM + 100,
        height_mm=CORE_MM + 100,
        tape="roll 150",
        wiped=True,
        pressed_on=True,
    )


def _answers(plan: Takeoff, stage: Stage, clock: Clock) -> Iterator[Check]:
    for point in (each for each in plan.hold_points if each.stage is stage):
        yield Check(
            **_entry(clock),
            code=point.code,
            cavity=point.cavity,
            answer=Answer.DEALT_WITH if point.code == "recessed_luminaires" else Answer.CLEAR,
            reading=14.0 if point.reading else None,
        )


def _depths(job: Job, clock: Clock) -> Iterator[DepthCheck]:
    for cavity, planned in job:
        depths = tuple(planned.open_blow.initial_mm * ratio for ratio in AS_BLOWN)
        yield DepthCheck(
            **_entry(clock),
            cavity=cavity.label,
            depths_mm=depths,
            markers=planned.open_blow.markers,
        )
