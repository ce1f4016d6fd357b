"""Which layer the bays are counted in, which way they run, and what blocking and openings take of them."""

from dataclasses import replace

import pytest

from service.engine.geometry.layout import edge_of, half_plates_m, is_turned, layout_of, outline, upright
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
    assert layout_of(cavity=wall()).working == 2
    assert layout_of(cavity=wall(layers=(layer(145, framing()), layer(95, ACROSS)))).working == 0
    assert layout_of(cavity=wall(layers=(layer(145), layer(50)))).working == 1
    assert layout_of(cavity=wall(layers=(layer(145, fraction()),))).framing is None


def test_bays_lie_between_members() -> None:
    """45 mm at 600 mm over 6 m: the first bay from 45 mm to 600 mm, the last ends at the last member."""
    bays = layout_of(cavity=stud_wall()).bays_m
    assert len(bays) == 10
    assert bays[0] == pytest.approx((0.045, 0.6))
    assert bays[-1][1] == pytest.approx(5.955)
    assert layout_of(cavity=wall(layers=(layer(145),))).bays_m == ((0.0, 9.4),)


def test_blocking_cuts_a_bay_only_through_the_full_depth() -> None:
    """A floor of 5.4 m with a row of 50 mm in its middle: two lengths of 2.675 m."""
    lengths = layout_of(cavity=floor()).lengths_m
    assert [end - start for start, end in lengths] == pytest.approx([2.675, 2.675])
    with_gap = floor(layers=(*floor().layers, layer(60)))
    assert layout_of(cavity=floor()).blocked
    assert not layout_of(cavity=with_gap).blocked
    assert len(layout_of(cavity=with_gap).lengths_m) == 1


def test_rows_must_be_as_many_in_every_layer() -> None:
    one = framing(blocking_rows=1, blocking_mm=45)
    both = wall(layers=(layer(145, one), layer(95, one)))
    assert layout_of(cavity=both).blocked
    uneven = wall(layers=(layer(145, one), layer(95, replace(one, blocking_rows=2))))
    assert not layout_of(cavity=uneven).blocked


def test_plates_end_a_bay_by_half_of_them_at_each_end() -> None:
    assert half_plates_m(framing=framing(plates_mm=90)) == pytest.approx(0.045)
    assert half_plates_m(framing=None) == 0.0
    assert layout_of(cavity=wall()).lengths_m[0] == pytest.approx((0.045, 2.605))
    assert layout_of(cavity=wall(layers=(layer(145),))).lengths_m == ((0.0, 2.65),)


def test_an_opening_is_larger_by_its_trim_or_its_boards() -> None:
    placed = opening(left_m=2.0, sill_m=0.9, trim_mm=45, reveal_mm=20)
    cavity = wall(openings=(placed, opening(trim_mm=45)))
    assert outline(opening=placed) == pytest.approx((2.0, 3.2, 0.9, 2.1))
    assert layout_of(cavity=cavity).trimmed == (pytest.approx((1.955, 3.245, 0.855, 2.145)),)
    assert layout_of(cavity=cavity).boxed == (pytest.approx((1.98, 3.22, 0.88, 2.12)),)


def test_an_edge_is_there_where_there_is_a_profile() -> None:
    assert edge_of(cavity=wall()) is None
    assert edge_of(cavity=wall(profile_m=((0.0, 2.0), (9.4, 2.65)))) is not None
