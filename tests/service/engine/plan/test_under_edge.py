"""Holes of a hip: the corner bays end in a point, and their middle is the edge."""

from dataclasses import replace

import pytest

from service.engine.geometry.compartments import parts
from service.engine.plan.holes import CUT_TO_TIMBER, Size, place, sized
from service.engine.plan.under_edge import member_m, under_edge
from tests import builders

# 8 m wide, 4 m high at its middle: 45 degrees, rafters of 60 mm at 600 mm.
HIP = builders.roof_slope(
    span_m=4.0,
    profile_m=((0.0, 0.0), (4.0, 4.0), (8.0, 0.0)),
    layers=(builders.layer(240, builders.framing(member_mm=60, spacing_mm=600, plates_mm=0)),),
)


def placed(cavity, size: Size, reach_m: float | None = None):
    own = parts(cavity=cavity)
    holes = place(parts=sized(parts=own), hole=size, reach_m=reach_m, tool_mm=50)
    return holes, under_edge(holes=holes, parts=own, cavity=cavity)


def sticks_out(hole) -> bool:
    """By the corners of the hole: the hip is as high as its distance from the nearer end."""
    left_m, right_m = hole.x_m - hole.width_mm / 2000, hole.x_m + hole.width_mm / 2000
    return hole.height_m + hole.height_mm / 2000 > min(left_m, 8 - right_m) + 1e-9


def test_a_hole_lies_under_the_edge_and_in_its_bay() -> None:
    before, after = placed(HIP, Size(110, 110))
    assert [hole.bay for hole in before if sticks_out(hole)] == [1, 13, 14]
    assert [hole.bay for hole in after if sticks_out(hole)] == [14]  # 80 mm wide at most
    assert (after[0].x_m, after[0].height_m) == pytest.approx((0.41, 0.3), abs=0.011)
    for hole, part in zip(after, parts(cavity=HIP), strict=True):
        assert part.left_m <= hole.x_m - hole.width_mm / 2000 + 1e-9
        assert hole.x_m + hole.width_mm / 2000 <= part.right_m + 1e-9


def test_a_hole_that_fits_where_it_is_stays_there() -> None:
    before, after = placed(HIP, Size(110, 110))
    assert after[1:12] == before[1:12]


def test_a_hole_that_fits_nowhere_is_cut_to_the_timber() -> None:
    _, after = placed(HIP, Size(110, 110))
    narrow = after[13]
    assert narrow.height_m == pytest.approx(0.055)
    assert narrow.note == CUT_TO_TIMBER


def test_plates_follow_the_edge() -> None:
    layers = (builders.layer(240, builders.framing(member_mm=60, spacing_mm=600, plates_mm=200)),)
    _, bare = placed(HIP, Size(110, 110))
    _, plated = placed(replace(HIP, layers=layers), Size(110, 110))
    assert plated[0].x_m > bare[0].x_m


def test_without_a_profile_nothing_moves() -> None:
    before, after = placed(builders.roof_slope(), Size(110, 110), reach_m=1.0)
    assert after == before


def test_members_between_bays_end_at_the_edge() -> None:
    """By hand: a hip's 13 rafters of 60 mm at 0.6, 1.2 ... 7.8 m are as long as they are far from the end."""
    middles_m = [0.6 * number + 0.03 for number in range(1, 14)]
    lengths_m = [min(middle, 8 - middle) for middle in middles_m]
    assert member_m(sized=sized(parts=parts(cavity=HIP)), cavity=HIP) == pytest.approx(
        sum(lengths_m) / 13, rel=1e-9
    )
    straight = replace(HIP, profile_m=())
    assert member_m(sized=sized(parts=parts(cavity=straight)), cavity=straight) == 4.0
