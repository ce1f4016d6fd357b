"""A building of 10,000 cavities through the whole takeoff in one process: is the time per cavity flat?

Runs of the three sizes take turns, and each works out as many cavities, so that
whatever else the machine does hits all sizes alike. The quickest run of each counts.
"""

import gc
import json
from dataclasses import fields, replace
from datetime import date
from time import process_time
from typing import TypeVar

import pytest

from service.engine.plan.price_list import PriceList
from service.engine.plan.takeoff import Building, takeoff
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Lance, Material, Practice
from service.usecases.base.json import from_json
from tests.api import DEMO, building

T = TypeVar("T")

SIZES = (50, 2_000, 10_000)
ROUNDS = 3
STEEPEST = 1.2


def demo(kind: type[T], path: str) -> T:
    """A file of the demo firm as the engine takes it."""
    data = json.loads((DEMO / path).read_text(encoding="utf-8"))
    names = {field.name for field in fields(kind)}  # type: ignore[arg-type]
    return from_json(kind, {name: value for name, value in data.items() if name in names})


def cavities(count: int) -> tuple[Cavity, ...]:
    """So many cavities of the demo building, each of a width of its own."""
    surveyed = from_json(tuple[Cavity, ...], building()["cavities"])
    chosen = ((number, surveyed[number % len(surveyed)]) for number in range(count))
    return tuple(
        replace(each, label=f"{each.label}-{number}", width_m=each.width_m + number / 1e6)
        for number, each in chosen
    )


@pytest.mark.bench
def test_the_time_per_cavity_is_flat(capsys: pytest.CaptureFixture[str]) -> None:
    basis = {
        "material": demo(Material, "materials/cf-std.json"),
        "practice": demo(Practice, "practice/eu.json"),
        "price_list": demo(PriceList, "price-lists/eur-2026-10-01.json"),
        "lances": from_json(tuple[Lance, ...], json.loads((DEMO / "lances.json").read_text())),
        "currency": "EUR",
        "priced_on": date(2026, 11, 25),
    }
    buildings = {size: Building(cavities=cavities(size)) for size in SIZES}
    quickest_ms = dict.fromkeys(SIZES, float("inf"))
    for _ in range(ROUNDS):
        for size, surveyed in buildings.items():
            gc.collect()  # what the run before left behind is not this one's
            began = process_time()
            for _ in range(SIZES[-1] // size):
                assert len(takeoff(building=surveyed, **basis).cavities) == size
            quickest_ms[size] = min(quickest_ms[size], (process_time() - began) * 1000 / SIZES[-1])
    ratio = quickest_ms[SIZES[-1]] / quickest_ms[SIZES[0]]
    with capsys.disabled():
        print()
        for size, each_ms in quickest_ms.items():
            print(f"{size:>6} cavities: {each_ms:.3f} ms a cavity")
        print(f"{SIZES[-1]} to {SIZES[0]}: {ratio:.3f}")
    assert ratio <= STEEPEST
