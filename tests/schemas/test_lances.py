"""A lance is a tube of a size that can be; without a curve it is straight."""

from typing import Any

import pytest

from schemas.lances import Lance, LanceBody, NamedLance
from service.engine.survey import practice
from tests.pointers import demo, refused, refused_without

BODY: dict[str, Any] = {"length_mm": 1800, "diameter_mm": 50, "curve_deg": 15}


def test_the_demo_firms_lances_are_taken() -> None:
    lances = demo("lances.json")
    rows = lances["items"] if isinstance(lances, dict) else lances
    assert rows
    assert [refused(NamedLance(), row) for row in rows] == [set()] * len(rows)


def test_length_and_diameter_are_measured_and_the_curve_may_be_none() -> None:
    assert refused_without(LanceBody(), BODY) == {
        "length_mm": {"/length_mm"},
        "diameter_mm": {"/diameter_mm"},
    }
    assert practice.Lance(code="L", length_mm=1800, diameter_mm=50).curve_deg == 0


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("length_mm", 99),
        ("length_mm", 10_001),
        ("length_mm", "1800"),
        ("diameter_mm", 9),
        ("diameter_mm", 201),
        ("curve_deg", -1),
        ("curve_deg", 181),
        ("curve_deg", None),
        ("weight_kg", 2),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(name: str, value: Any) -> None:
    assert refused(LanceBody(), {**BODY, name: value}) == {f"/{name}"}


@pytest.mark.parametrize("code", ["", "L 18", "../L", "-L", "L" * 41])
def test_a_code_can_be_part_of_an_address(code: str) -> None:
    assert refused(NamedLance(), {**BODY, "code": code}) == {"/code"}


def test_a_straight_lance_is_answered_without_a_curve() -> None:
    straight = {"code": "L18", "length_mm": 1800, "diameter_mm": 50, "in_force_from": "2026-11-25"}
    assert Lance().dump(straight) == straight
    assert Lance().dump({**straight, "curve_deg": None}) == straight
