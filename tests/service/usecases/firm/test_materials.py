"""A sheet's versions stay beside one another; the code is the address's."""

from collections.abc import Callable
from datetime import date
from typing import Any

from schemas.materials import MaterialBody
from service.usecases.base.context import Context
from service.usecases.firm import materials
from tests.pointers import demo

SHEET = {name: value for name, value in demo("materials/cf-std.json").items() if name != "code"}


def body(day: str, **changes: Any) -> Any:
    return MaterialBody().load({**SHEET, "in_force_from": day, **changes})


def versions(context: Context, code: str) -> list[Any]:
    return [item for item in materials.listed(context)["items"] if item["code"] == code]


def test_versions_are_listed_by_their_days(context: Context) -> None:
    for day in ("2026-12-01", "2026-06-01"):
        materials.put(context, "A", body(day))
    assert [item["in_force_from"] for item in versions(context, "A")] == ["2026-06-01", "2026-12-01"]


def test_what_is_posted_is_left_as_it_is(context: Context) -> None:
    sent = body("2026-06-01")
    materials.put(context, "B", sent)
    assert sent["in_force_from"] == date(2026, 6, 1)
    assert "code" not in sent


def test_a_correction_of_the_same_day_is_another_version(context: Context) -> None:
    first = materials.put(context, "C", body("2026-06-01"))
    second = materials.put(context, "C", body("2026-06-01", bag_kg=12.0))
    assert [item["id"] for item in versions(context, "C")] == [first["id"], second["id"]]


def test_another_firms_sheets_are_its_own(context: Context, office: Callable[[str], Context]) -> None:
    materials.put(context, "OURS", body("2026-06-01"))
    assert versions(office("other"), "OURS") == []
