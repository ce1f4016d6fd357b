"""A climate says its ranges, and is reckoned with at either end of them."""

from itertools import product
from math import isfinite
from typing import get_args

import pytest

from service.engine.ground.shapes import Range, described
from service.engine.moisture.moisture import moisture
from service.engine.survey.climate import COLDEST_C, WARMEST_C, MonthClimate
from tests.builders import board, climate, material, month, stud_wall


@pytest.mark.parametrize("side", ["inside", "outside"])
def test_the_ranges_are_said_with_the_fields(side):
    said = {name: get_args(kind) for name, kind in described(MonthClimate).items()}
    assert Range(COLDEST_C, WARMEST_C) in said[f"{side}_c"]
    assert Range(0, 100) in said[f"{side}_rh_percent"]


@pytest.mark.parametrize(("inside_c", "outside_c"), [*product((COLDEST_C, WARMEST_C), repeat=2)])
def test_every_figure_is_finite_at_the_ends_of_the_ranges(inside_c, outside_c):
    wall = stud_wall(inside=(board(mu=10),), outside=(board(mu=50),))
    ends = [
        month(inside_c=inside_c, outside_c=outside_c, inside_rh_percent=inside, outside_rh_percent=outside)
        for inside, outside in product((0.1, 100), repeat=2)
    ]
    found = moisture(cavity=wall, material=material(mu=2), climate=climate(months=tuple(ends * 3)))
    assert all(isfinite(each.water_kg_m2) for each in found.months)
    assert all(isfinite(point.vapour_pa) and point.vapour_pa > 0 for point in found.profile)
    assert isfinite(found.surface.f_rsi)
