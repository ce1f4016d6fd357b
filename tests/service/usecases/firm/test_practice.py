"""A profile's version is added once, under its own code and from its own day."""

from typing import Any

import pytest

from schemas.practice import PracticeBody
from service.errors import Conflict
from service.usecases.base.context import Context
from service.usecases.firm import practice
from tests.pointers import demo


def body(**changes: Any) -> Any:
    return PracticeBody().load({**demo("practice/eu.json"), **changes})


def test_a_version_is_kept_whole_under_its_code(context: Context) -> None:
    added = practice.add(context, body(code="A", in_force_from="2026-11-01"))
    assert added.pop("touches") == []
    assert (added["code"], added["in_force_from"]) == ("A", "2026-11-01")
    listed = practice.listed(context)["items"]
    assert [item for item in listed if item["code"] == "A"] == [added]


def test_the_same_twice_is_refused_and_a_change_is_not(context: Context) -> None:
    practice.add(context, body(code="B", in_force_from="2026-11-01"))
    with pytest.raises(Conflict):
        practice.add(context, body(code="B", in_force_from="2026-11-01"))
    practice.add(context, body(code="B", in_force_from="2026-11-01", name="Another name"))
    assert len([item for item in practice.listed(context)["items"] if item["code"] == "B"]) == 2
