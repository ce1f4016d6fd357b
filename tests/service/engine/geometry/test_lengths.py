"""How volume goes with lengths is held against differences of whole cavities in test_sensitivity.py."""

import pytest

from service.engine.geometry.lengths import mean_height_m, past_m
from service.engine.geometry.plane import plane
from service.engine.ground.vocabulary import Runs
from tests.builders import framing, layer, opening, stud_wall, wall


def test_a_cavity_is_as_high_as_its_edge_is_on_average() -> None:
    gable = ((0.0, 1.0), (4.0, 3.0), (8.0, 1.0))
    assert mean_height_m(cavity=stud_wall(width_m=8.0, span_m=3.0, profile_m=gable)) == pytest.approx(2.0)


def test_timber_stands_round_an_opening_in_framed_layers_and_boards_in_open_ones() -> None:
    window = opening(trim_mm=45, reveal_mm=18)
    outer, gap, _ = wall().layers
    assert past_m(opening=window, framing=outer.framing) == 0.045
    assert past_m(opening=window, framing=gap.framing) == 0.018


def test_what_lies_over_an_opening_and_beside_it_touches_it_there() -> None:
    """By hand: 1.2 m of its top and 1.2 m of its right side, 120 mm deep; under and left of it nothing."""
    window = opening(width_m=1.2, height_m=1.2, left_m=2.0, sill_m=0.8)
    laid_out = plane(cavity=wall(layers=wall().layers[1:2], openings=(window,)))
    ((beside_m2, over_m2),) = laid_out.balanced.touched_m2[0]
    assert over_m2 == pytest.approx(1.2 * 0.12)
    assert beside_m2 == pytest.approx(1.2 * 0.12)


def test_an_opening_without_a_place_touches_nothing() -> None:
    assert plane(cavity=stud_wall(openings=(opening(),))).balanced.touched_m2 == ((),)


def test_members_that_cross_the_span_lie_between_the_plates_at_their_ends() -> None:
    """By hand: battens across a wall 9.4 m wide, 90 mm of plates; 2.65 m high, six of 60 mm."""
    battens = framing(member_mm=60, spacing_mm=600, plates_mm=90, runs=Runs.ACROSS)
    _, across = plane(cavity=wall(layers=(*wall().layers[:1], layer(60, battens)))).lengths
    assert across.member_length_m == across.along_m == pytest.approx(9.31)
    assert across.members == 6
    assert across.across_m == across.between_members_m == pytest.approx(2.65 - 6 * 0.06)
