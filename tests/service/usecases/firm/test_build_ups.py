"""Build-ups are kept by version; what is put twice is there once."""

from datetime import date
from typing import Any

from service.api.firm_files import read_firm
from service.usecases.base.context import Context
from service.usecases.firm import build_ups
from tests.api import DEMO

BODY: dict[str, Any] = dict(read_firm(DEMO)["build_ups"][0])
BODY.pop("code")


def found(context: Context, code: str) -> list[Any]:
    return [item for item in build_ups.listed(context)["items"] if item["code"] == code]


def test_a_build_up_that_is_put_twice_is_there_once(context: Context) -> None:
    first, second = (build_ups.put(context, "A", BODY) for _ in range(2))
    assert first == second
    assert found(context, "A") == [first]


def test_a_new_version_stands_beside_the_older_one(context: Context) -> None:
    build_ups.put(context, "B", BODY)
    build_ups.put(context, "B", {**BODY, "name": "Another", "in_force_from": date(2026, 6, 1)})
    assert [item["in_force_from"] for item in found(context, "B")] == ["2026-01-01", "2026-06-01"]
