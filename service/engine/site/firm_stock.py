"""A firm's material across its jobs: what came, what went, what is there, and what has to be ordered.

What each job says of a lot is added up: the sums are kept, and one job's figures are taken out of them and
put in anew when it says more.

What a job says is left over, or vacuumed up, is there until another job says that it came from it. Where
more is taken over than was left, jobs contradict each other: that is said, and nothing is there.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.shapes import Kilograms
from service.engine.site.entries import Delivery, Fill, Reclaimed
from service.engine.site.ledger import Ledger
from service.engine.site.left_over import left_over
from service.engine.site.materials import materials_of

ADDED_UP = (
    *("delivered_bags", "returned_bags", "left_over_bags", "taken_bags", "blown_bags"),
    *("reclaimed_kg", "taken_kg"),
)
"""Of a lot's figures those that are added up over jobs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLine:
    """A lot of a material across all jobs; bags are counted, what was vacuumed up is weighed where it was."""

    material: Annotated[str, "code of the material"]
    lot: Annotated[str | None, "the lot; null where none was named"]
    delivered_bags: Annotated[float, "bags that came from the maker"]
    returned_bags: Annotated[float, "bags sent back"]
    left_over_bags: Annotated[float, "bags that jobs left over"]
    taken_bags: Annotated[float, "bags of it that other jobs say they took over"]
    blown_bags: Annotated[float, "bags of jobs that said what they left over, less what they did"]
    reclaimed_kg: Annotated[Kilograms, "vacuumed up and weighed"]
    taken_kg: Annotated[Kilograms, "of it taken over by other jobs or blown again by the same, weighed"]
    there_bags: Annotated[float, "bags that must be there: left over, less what was taken over"]
    there_kg: Annotated[
        Kilograms, "spill that must be there: vacuumed up, less what was taken or blown again"
    ]
    contradicted_bags: Annotated[float, "bags taken over that no job says it left over: jobs contradict"]
    contradicted_kg: Annotated[Kilograms, "spill taken over that no job says it vacuumed up"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToOrder:
    """What has to be ordered of a material for some jobs."""

    material: Annotated[str, "code of the material"]
    jobs: Annotated[tuple[str, ...], "numbers of the jobs that it is for"]
    planned_bags: Annotated[int, "bags that these jobs are planned to take, with waste"]
    delivered_bags: Annotated[float, "bags that came to them already"]
    there_bags: Annotated[float, "bags that must be in the firm's stock"]
    order_bags: Annotated[int, "bags to order: planned, less what came and what is there"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A job that material is wanted for."""

    job: str
    material: str
    bags: int
    delivered_bags: float


def said_of_lots(*, material: str, ledger: Ledger) -> dict[tuple[str, str], dict[str, float]]:
    """What a job says of each lot, by material and lot (empty where none was named), in bags and kg.

    `material` is the code of the job's own. The figures are those of a StockLine that add up over jobs.
    """
    figures: dict[tuple[str, str], dict[str, float]] = defaultdict(lambda: defaultdict(float))
    told = _says_rest(ledger)
    for code, deliveries in _by_material(ledger, material).items():
        for entry in deliveries:
            _delivery(figures[code, entry.lot or ""], entry, told)
        for lot, bags in left_over(deliveries=deliveries).items():
            row = figures[code, lot or ""]
            row["left_over_bags"] += bags
            row["blown_bags"] -= bags
    for swept in ledger.of(Reclaimed):
        figures[material, ""]["reclaimed_kg"] += swept.mass_kg or 0.0
    if again_kg := _own_blown_again(ledger):
        figures[material, ""]["taken_kg"] += again_kg
    return {of: dict(row) for of, row in figures.items()}


def _own_blown_again(ledger: Ledger) -> float:
    """Spill of a job that is in its own walls again: what came from other jobs is blown before."""
    again_kg = sum(fill.mass_kg or 0.0 for fill in ledger.of(Fill) if fill.from_spill)
    came_kg = sum(entry.mass_kg or 0.0 for entry in ledger.of(Delivery) if entry.from_job)
    return max(0.0, again_kg - came_kg)


def delivered_bags(*, material: str, ledger: Ledger) -> float:
    """Bags of a job's own `material` that came to it, from the maker or another job: what fills its plan."""
    return sum(float(entry.bags or 0) for entry in _by_material(ledger, material).get(material, ()))


def _by_material(ledger: Ledger, offered: str) -> dict[str, list[Delivery]]:
    """The deliveries of each material by its code; what was left over or sent back may name its lot alone."""
    came = materials_of(ledger=ledger, offered=offered)
    of: dict[str, list[Delivery]] = {}
    for entry in ledger.of(Delivery):
        of.setdefault(came.of_delivery(entry) or offered, []).append(entry)
    return of


def stock_line(*, material: str, lot: str, figures: Mapping[str, float]) -> StockLine:
    """A lot by the figures of all jobs added up; those that nobody speaks of are missing or 0."""
    bags = figures.get("left_over_bags", 0.0) - figures.get("taken_bags", 0.0)
    spill_kg = figures.get("reclaimed_kg", 0.0) - figures.get("taken_kg", 0.0)
    return StockLine(
        material=material,
        lot=lot or None,
        **{name: figures.get(name, 0.0) for name in ADDED_UP},
        there_bags=max(0.0, bags),
        there_kg=max(0.0, spill_kg),
        contradicted_bags=max(0.0, -bags),
        contradicted_kg=max(0.0, -spill_kg),
    )


def to_order(*, wanted: Iterable[Wanted], there: Mapping[str, float]) -> tuple[ToOrder, ...]:
    """What to order of each material: never less than nothing.

    `there` is how many bags all jobs left over of a material, less what others took over: what was taken
    without its lot's name may be any lot's, so that lots are not told apart.
    """
    of: dict[str, list[Wanted]] = defaultdict(list)
    for each in wanted:
        of[each.material].append(each)
    return tuple(
        _order(material, jobs, max(0.0, there.get(material, 0.0))) for material, jobs in sorted(of.items())
    )


def _order(material: str, jobs: list[Wanted], there: float) -> ToOrder:
    planned = sum(each.bags for each in jobs)
    missing = sum(max(0.0, each.bags - each.delivered_bags) for each in jobs)
    return ToOrder(
        material=material,
        jobs=tuple(each.job for each in jobs),
        planned_bags=planned,
        delivered_bags=sum(each.delivered_bags for each in jobs),
        there_bags=there,
        order_bags=max(0, math.ceil(missing - there)),
    )


def _says_rest(ledger: Ledger) -> bool:
    return any(entry.left_over is not None for entry in ledger.of(Delivery))


def _delivery(row: dict[str, float], entry: Delivery, told: bool) -> None:
    came, back = float(entry.bags or 0), float(entry.returned or 0)
    if entry.from_job:
        row["taken_bags"] += came
        row["taken_kg"] += entry.mass_kg or 0.0
    else:
        row["delivered_bags"] += came
    row["returned_bags"] += back
    # As long as a job does not say what it left over, nobody knows how much of it was blown.
    row["blown_bags"] += came - back if told else 0.0
