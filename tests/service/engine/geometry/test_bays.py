from dataclasses import replace

import pytest

from service.engine.geometry.bays import (
    bay_edges_m,
    last_members_overlap,
    member_count,
    member_starts_m,
    segments_m,
    spaces,
)
from service.engine.geometry.rectangles import Rectangle
from service.engine.ground.vocabulary import Runs
from tests.builders import framing


def nearly(pairs):
    return [pytest.approx(pair) for pair in pairs]


@pytest.mark.parametrize(
    ("across_m", "member_mm", "spacing_mm", "expected"),
    [
        (6.05, 50, 600, 11),  # 6.00 / 0.6 in binary is a hair above 10
        (6.06, 50, 600, 12),
        (6.04, 50, 600, 11),
        (9.4, 45, 625, 16),
        (9.6, 50, 600, 17),
        (4.2, 50, 400, 12),
        (6.0, 45, 600, 11),
        (0.7, 60, 600, 3),
        (0.645, 45, 600, 2),
    ],
)
def test_members_stand_at_both_edges(across_m, member_mm, spacing_mm, expected):
    """Set out by hand on a rule: first at 0, then every spacing, and one at the far edge."""
    framed = framing(member_mm=member_mm, spacing_mm=spacing_mm)
    assert member_count(framing=framed, across_m=across_m) == expected


@pytest.mark.parametrize("bays", range(1, 200))
def test_floating_point_dust_adds_no_member(bays):
    across_mm = bays * 625 + 45
    assert member_count(framing=framing(), across_m=across_mm / 1000) == bays + 1


def test_the_last_bay_is_the_narrower_one():
    edges = bay_edges_m(framing=framing(member_mm=50, spacing_mm=600), across_m=1.55)
    assert list(edges) == nearly(((0.05, 0.6), (0.65, 1.2), (1.25, 1.5)))


def test_members_that_overlap_at_the_far_edge_are_one_piece_of_timber_and_nothing_is_moved():
    """1.27 m: the third member ends at 1.25, the fourth begins at 1.22."""
    framed = framing(member_mm=50, spacing_mm=600)
    assert member_count(framing=framed, across_m=1.27) == 4
    assert member_starts_m(framing=framed, across_m=1.27) == pytest.approx((0, 0.6, 1.2, 1.22))
    edges = bay_edges_m(framing=framed, across_m=1.27)
    assert list(edges) == nearly(((0.05, 0.6), (0.65, 1.2)))


@pytest.mark.parametrize(("across_m", "overlap"), [(1.25, False), (1.27, True), (1.3, True), (1.31, False)])
def test_it_is_said_where_the_last_two_members_overlap_or_touch(across_m, overlap):
    framed = framing(member_mm=50, spacing_mm=600)
    assert last_members_overlap(framing=framed, across_m=across_m) is overlap
    assert not last_members_overlap(framing=replace(framed, members=4), across_m=across_m)


def test_counted_members_are_evenly_spread():
    framed = framing(member_mm=50, spacing_mm=None, members=4)
    assert member_starts_m(framing=framed, across_m=1.85) == pytest.approx((0, 0.6, 1.2, 1.8))
    assert member_count(framing=framed, across_m=1.85) == 4


def test_measured_members_stand_where_they_stand():
    """A doubled member, none at the right edge; the regular grid is not looked at."""
    framed = framing(member_mm=50, spacing_mm=600, members_at_m=(0.0, 0.7, 0.75, 1.3))
    edges = bay_edges_m(framing=framed, across_m=2.0)
    assert list(edges) == nearly(((0.05, 0.7), (0.8, 1.3), (1.35, 2.0)))


def test_plates_and_blocking_cut_a_bay_into_equal_lengths():
    framed = framing(plates_mm=90, blocking_rows=2, blocking_mm=45)
    assert segments_m(framing=framed, along_m=2.52) == tuple(
        nearly(((0.045, 0.825), (0.87, 1.65), (1.695, 2.475)))
    )


def test_bays_of_members_across_the_span_are_numbered_from_the_bottom():
    framed = framing(member_mm=50, spacing_mm=600, plates_mm=100, runs=Runs.ACROSS)
    first, second = spaces(framing=framed, width_m=4.0, span_m=1.25)
    assert first == (1, pytest.approx(Rectangle(left_m=0.05, right_m=3.95, bottom_m=0.05, top_m=0.6)))
    assert second == (2, pytest.approx(Rectangle(left_m=0.05, right_m=3.95, bottom_m=0.65, top_m=1.2)))
