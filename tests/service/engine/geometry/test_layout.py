"""Which layer the bays are counted in, which way they run, and what blocking and openings take of them."""

from dataclasses import replace

import pytest

from service.engine.geometry.layout import (
    blocked_through,
    boxed_openings,
    cavity_bays_m,
    clear_lengths_m,
    edge_of,
    half_plates_m,
    is_turned,
    outline,
    trimmed_openings,
    upright,
    working_framing,
    working_index,
)
from service.engine.ground.vocabulary import Runs
from tests.builders import floor, fraction, framing, layer, opening, stud_wall, wall

ACROSS = framing(runs=Runs.ACROSS)


def test_a_cavity_is_turned_when_all_of_its_members_run_across() -> None:
    turned = wall(layers=(layer(145, ACROSS), layer(50)))
    assert is_turned(cavity=turned)
    assert not is_turned(cavity=wall(layers=(layer(145, ACROSS), layer(95, framing()))))
    assert not is_turned(cavity=wall(layers=(layer(145),)))


def test_turning_exchanges_both_directions_of_everything() -> None:
    window = opening(width_m=1.0, height_m=2.0, left_m=3.0, sill_m=0.5)
    found = upright(cavity=wall(layers=(layer(145, ACROSS),), openings=(window,)))
    assert (found.width_m, found.span_m) == (2.65, 9.4)
    assert found.layers[0].framing == framing()
    (turned,) = found.openings
    assert (turned.width_m, turned.height_m, turned.left_m, turned.sill_m) == (2.0, 1.0, 0.5, 3.0)
    assert upright(cavity=found) == found


def test_bays_are_counted_where_the_filler_works() -> None:
    """In the innermost layer with members along; a fraction of timber has none to count."""
    assert working_index(cavity=wall()) == 2
    assert working_index(cavity=wall(layers=(layer(145, framing()), layer(95, ACROSS)))) == 0
    assert working_index(cavity=wall(layers=(layer(145), layer(50)))) == 1
    assert working_framing(cavity=wall(layers=(layer(145, fraction()),))) is None


def test_bays_lie_between_members() -> None:
    """45 mm at 600 mm over 6 m: the first bay from 45 mm to 600 mm, the last ends at the last member."""
    bays = cavity_bays_m(cavity=stud_wall())
    assert len(bays) == 10
    assert bays[0] == pytest.approx((0.045, 0.6))
    assert bays[-1][1] == pytest.approx(5.955)
    assert cavity_bays_m(cavity=wall(layers=(layer(145),))) == ((0.0, 9.4),)


def test_blocking_cuts_a_bay_only_through_the_full_depth() -> None:
    """A floor of 5.4 m with a row of 50 mm in its middle: two lengths of 2.675 m."""
    lengths = clear_lengths_m(cavity=floor())
    assert [end - start for start, end in lengths] == pytest.approx([2.675, 2.675])
    with_gap = floor(layers=(*floor().layers, layer(60)))
    assert blocked_through(cavity=floor())
    assert not blocked_through(cavity=with_gap)
    assert len(clear_lengths_m(cavity=with_gap)) == 1


def test_rows_must_be_as_many_in_every_layer() -> None:
    one = framing(blocking_rows=1, blocking_mm=45)
    both = wall(layers=(layer(145, one), layer(95, one)))
    assert blocked_through(cavity=both)
    assert not blocked_through(
        cavity=wall(layers=(layer(145, one), layer(95, replace(one, blocking_rows=2))))
    )


def test_plates_end_a_bay_by_half_of_them_at_each_end() -> None:
    assert half_plates_m(framing=framing(plates_mm=90)) == pytest.approx(0.045)
    assert half_plates_m(framing=None) == 0.0
    assert clear_lengths_m(cavity=wall())[0] == pytest.approx((0.045, 2.605))
    assert clear_lengths_m(cavity=wall(layers=(layer(145),))) == ((0.0, 2.65),)


def test_an_opening_is_larger_by_its_trim_or_its_boards() -> None:
    placed = opening(left_m=2.0, sill_m=0.9, trim_mm=45, reveal_mm=20)
    cavity = wall(openings=(placed, opening(trim_mm=45)))
    assert outline(opening=placed) == pytest.approx((2.0, 3.2, 0.9, 2.1))
    assert trimmed_openings(cavity=cavity) == (pytest.approx((1.955, 3.245, 0.855, 2.145)),)
    assert boxed_openings(cavity=cavity) == (pytest.approx((1.98, 3.22, 0.88, 2.12)),)


def test_an_edge_is_there_where_there_is_a_profile() -> None:
    assert edge_of(cavity=wall()) is None
    assert edge_of(cavity=wall(profile_m=((0.0, 2.0), (9.4, 2.65)))) is not None
