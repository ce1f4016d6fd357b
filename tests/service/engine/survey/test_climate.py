"""A climate that cannot be is refused by field."""

from dataclasses import replace

import pytest

from service.engine.survey.climate import check_climate
from service.errors import InvalidInput
from tests.builders import climate, month


def test_a_year_of_twelve_months_passes():
    assert check_climate(climate=climate()) is None


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("inside_c", 50.1),
        ("outside_c", -40.1),
        ("inside_rh_percent", 0),
        ("outside_rh_percent", 100.1),
        ("outside_c", float("nan")),
    ],
)
def test_a_month_out_of_range_is_named(field, value):
    months = [*climate().months]
    months[3] = month(**{field: value})

    with pytest.raises(InvalidInput) as caught:
        check_climate(climate=replace(climate(), months=tuple(months)))

    assert [fault.pointer for fault in caught.value.faults] == [f"/months/3/{field}"]


def test_a_year_has_twelve_months():
    with pytest.raises(InvalidInput) as caught:
        check_climate(climate=climate(months=(month(),) * 11))

    assert [fault.pointer for fault in caught.value.faults] == ["/months"]
