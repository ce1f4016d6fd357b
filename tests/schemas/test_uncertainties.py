"""A group is declared whole, within its limits."""

from typing import Any

import pytest
from marshmallow import ValidationError

from schemas.uncertainties import Uncertainties

READING = {
    "standing": "declared",
    "source": "Our own rulers",
    "bulge_half_mm": 5,
    "ruler_half_mm": 1,
    "evenness_u_mm": 8,
}


def faults(**changes: Any) -> Any:
    body = {key: value for key, value in {**READING, **changes}.items() if value is not None}
    with pytest.raises(ValidationError) as refused:
        Uncertainties().load({"reading": body})
    return refused.value.messages


def test_no_group_has_to_be_declared() -> None:
    assert Uncertainties().load({}) == {}


def test_a_group_that_is_declared_is_declared_whole() -> None:
    assert list(faults(ruler_half_mm=None)["reading"]) == ["ruler_half_mm"]


@pytest.mark.parametrize("value", [0, -1, 101, float("nan"), "1"])
def test_a_half_width_keeps_to_its_limits(value: object) -> None:
    assert list(faults(ruler_half_mm=value)["reading"]) == ["ruler_half_mm"]
