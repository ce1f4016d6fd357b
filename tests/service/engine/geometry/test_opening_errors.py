from math import sqrt

import pytest

from service.engine.geometry.opening_errors import opening_shares
from service.engine.geometry.plane import plane
from service.engine.geometry.reckoned import reckoned
from tests.builders import layer, opening, wall


def shares(cavity):
    space = reckoned(laid_out=plane(cavity=cavity), bays=[1])
    return {share.of: share.u for share in opening_shares(space=space, half_mm=10)}


def test_openings_in_an_open_layer_take_their_sides():
    """By hand: 1.2 m of height for the width, and the other way round; 0.2 m deep."""
    placed = wall(layers=(layer(200),), openings=(opening(width_m=1.5, left_m=2.0, sill_m=0.9),))
    found = shares(placed)
    assert found["openings 0 width"] == pytest.approx(-0.2 * 1.2 * 0.01 / sqrt(3))
    assert found["openings 0 height"] == pytest.approx(-0.2 * 1.5 * 0.01 / sqrt(3))


def test_openings_of_a_row_are_alike_and_so_are_their_errors():
    three = wall(layers=(layer(200),), openings=(opening(width_m=1.5, count=3),))
    assert shares(three)["openings 0 width"] == pytest.approx(-3 * 0.2 * 1.2 * 0.01 / sqrt(3))
