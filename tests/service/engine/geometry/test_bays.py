import pytest

from service.engine.geometry.bays import bay_edges_m, member_count, segments_m, spaces
from service.engine.geometry.rectangles import Rectangle
from service.engine.ground.vocabulary import Runs
from tests.builders import framing


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
    assert edges == ((0.05, 0.6), (0.65, 1.2), (1.25, 1.5))


def test_members_that_would_overlap_at_the_far_edge_stand_side_by_side():
    """1.27 m: the third member would end at 1.25, the fourth begin at 1.22; so three bays become two."""
    edges = bay_edges_m(framing=framing(member_mm=50, spacing_mm=600), across_m=1.27)
    assert edges == ((0.05, 0.6), (0.65, 1.17))
    assert sum(right - left for left, right in edges) == pytest.approx(1.27 - 4 * 0.05, abs=1e-9)


def test_plates_and_blocking_cut_a_bay_into_equal_lengths():
    framed = framing(plates_mm=90, blocking_rows=2, blocking_mm=45)
    assert segments_m(framing=framed, along_m=2.52) == ((0.045, 0.825), (0.87, 1.65), (1.695, 2.475))


def test_bays_of_members_across_the_span_are_numbered_from_the_bottom():
    framed = framing(member_mm=50, spacing_mm=600, plates_mm=100, runs=Runs.ACROSS)
    assert spaces(framing=framed, width_m=4.0, span_m=1.25) == (
        (1, Rectangle(left_m=0.05, right_m=3.95, bottom_m=0.05, top_m=0.6)),
        (2, Rectangle(left_m=0.05, right_m=3.95, bottom_m=0.65, top_m=1.2)),
    )
