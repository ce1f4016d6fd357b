"""A lance is in use from today, as it was measured last; another firm never sees it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

from service.usecases.base.context import Context
from service.usecases.firm import lances
from tests.api import NOW

BODY = {"length_mm": 2100.0, "diameter_mm": 42.0}


def found(context: Context, code: str) -> list[Any]:
    return [item for item in lances.listed(context)["items"] if item["code"] == code]


def test_a_lance_is_in_use_as_it_was_measured_last(context: Context) -> None:
    before = len(lances.listed(context)["items"])
    lances.put(context, "A", BODY)
    worn = lances.put(context, "A", {**BODY, "length_mm": 2080.0})
    assert found(context, "A") == [worn]
    assert (worn["length_mm"], worn["curve_deg"]) == (2080.0, 0.0)
    assert worn["in_force_from"] == NOW.date().isoformat()
    assert len(lances.listed(context)["items"]) == before + 1


def test_what_is_measured_tomorrow_is_not_in_use_today(context: Context) -> None:
    lances.put(context, "B", BODY)
    tomorrow = replace(context, now=NOW + timedelta(days=1))
    lances.put(tomorrow, "B", {**BODY, "length_mm": 2000.0})
    assert [item["length_mm"] for item in found(context, "B")] == [2100.0]
    assert [item["length_mm"] for item in found(tomorrow, "B")] == [2000.0]


def test_the_same_once_more_is_there_once(context: Context) -> None:
    first, second = (lances.put(context, "C", BODY) for _ in range(2))
    assert first == second


def test_another_firms_lances_are_its_own(context: Context, office: Callable[[str], Context]) -> None:
    lances.put(context, "OURS", BODY)
    assert found(office("other"), "OURS") == []
