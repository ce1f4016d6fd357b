from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.geometry.compartments import Part
from service.engine.ground.vocabulary import Standing
from service.engine.plan.holes import Size, holes_in, part_size, patch_size, place, stretches, tape_m
from service.engine.survey.practice import Patching
from tests.said import said

HOLE = Size(width_mm=110, height_mm=110)


def part(*, bay=1, number=1, left_m=0.0, right_m=0.55, bottom_m=0.1, top_m=2.5):
    return Part(bay=bay, number=number, left_m=left_m, right_m=right_m, bottom_m=bottom_m, top_m=top_m)


def patching(*, roll_mm=150.0, lap_mm=50.0):
    return Patching(
        past_hole_mm=50,
        roll_mm=roll_mm,
        lap_mm=lap_mm,
        source="common practice",
        standing=Standing.COMMON_PRACTICE,
    )


def placed(*parts, hole=HOLE, reach_m=None, tool_mm=63.0):
    sized = [(part, part_size(part=part)) for part in parts]
    return place(parts=sized, hole=hole, reach_m=reach_m, tool_mm=tool_mm)


def test_a_bay_without_blocking_has_one_hole_at_mid_height():
    """Utah weatherization field guide (published): one hole at mid-height where nothing blocks the bay."""
    (hole,) = placed(part())
    assert (hole.number, hole.bay, hole.part) == (1, 1, 1)
    assert (hole.x_m, hole.height_m) == pytest.approx((0.275, 1.3))
    assert (hole.width_mm, hole.height_mm, hole.note) == (110, 110, None)


def test_a_blocked_bay_has_a_hole_in_its_top_and_in_its_lower_third():
    """Utah weatherization field guide (published): top third and lower third where the bay is blocked."""
    lower, upper = placed(part(bottom_m=0, top_m=1.2), part(number=2, bottom_m=1.25, top_m=2.45))
    assert lower.height_m < 2.45 / 3
    assert upper.height_m > 2.45 * 2 / 3


def test_holes_stand_in_the_middle_of_equal_stretches():
    """By hand: 2.4 m at a reach of 0.5 m is three stretches of 0.8 m from 0.1 m up."""
    assert [hole.height_m for hole in placed(part(), reach_m=0.5)] == pytest.approx([0.5, 1.3, 2.1])


def test_a_space_wider_than_the_reach_has_holes_side_by_side():
    """By hand: 2.0 x 2.4 m at a reach of 0.7 m is two by two."""
    holes = placed(part(right_m=2.0), reach_m=0.7)
    assert [(hole.x_m, hole.height_m) for hole in holes] == [
        pytest.approx(spot) for spot in ((0.5, 0.7), (1.5, 0.7), (0.5, 1.9), (1.5, 1.9))
    ]


def test_exactly_two_reaches_are_one_stretch():
    """0.1 + 0.2 is 0.30000000000000004 in floating point: dust must not cost a hole."""
    assert stretches(length_mm=1000 * (0.1 + 0.2), reach_m=0.15) == 1
    assert stretches(length_mm=301, reach_m=0.15) == 2


def test_numbers_run_bay_by_bay_and_upwards():
    holes = placed(part(bay=2), part(bay=1, number=2, bottom_m=2, top_m=2.5), part(bay=1, top_m=1.9))
    assert [(hole.number, hole.bay, hole.part) for hole in holes] == [(1, 1, 1), (2, 1, 2), (3, 2, 1)]


def test_a_space_smaller_than_the_hole_gets_a_smaller_hole_and_says_so():
    (hole,) = placed(part(right_m=0.08))
    assert hole.width_mm == pytest.approx(80)
    assert said(hole.note) == "Cut no further than the timber: the space is smaller than the usual hole."


def test_a_space_of_the_size_of_the_hole_is_not_smaller_than_it():
    """1.25 - 1.2 is 0.050000000000000044 and 1.35 - 1.3 is 0.05 less as much: both are 50 mm."""
    for part_of_50_mm in (part(left_m=1.2, right_m=1.25), part(left_m=1.3, right_m=1.35)):
        (hole,) = placed(part_of_50_mm, hole=Size(width_mm=50, height_mm=200), tool_mm=48)
        assert (hole.width_mm, hole.note) == (50, None)


@pytest.mark.parametrize("sliver", [part(right_m=0.063), part(bottom_m=2.44)])
def test_a_space_that_the_hose_does_not_enter_is_packed_by_hand(sliver):
    (hole,) = placed(sliver)
    assert "pack it by hand" in said(hole.note)


@pytest.mark.parametrize(("hole_mm", "patch_mm"), [(50, 150), (63.5, 163.5), (110, 210)])
def test_a_patch_reaches_50_mm_past_the_hole_all_round(hole_mm, patch_mm):
    """Common practice: at least 50 mm beyond the hole all round. 63.5 mm is the US hole of 2 1/2 in."""
    patch = patch_size(hole=Size(width_mm=hole_mm, height_mm=hole_mm + 20), patching=patching())
    assert (patch.width_mm, patch.height_mm) == (patch_mm, patch_mm + 20)


@pytest.mark.parametrize(
    ("width_mm", "strips"), [(100, 1), (150, 1), (150.5, 2), (210, 2), (250, 2), (251, 3), (350, 3)]
)
def test_a_patch_wider_than_the_roll_is_made_of_strips_that_lap(width_mm, strips):
    """By hand: strips of 150 mm lapped by 50 mm cover 150, 250, 350 mm; each is 400 mm long, 7 patches."""
    patch = Size(width_mm=width_mm, height_mm=400)
    assert tape_m(patches=7, patch=patch, patching=patching()) == pytest.approx(7 * strips * 0.4)
    turned = Size(width_mm=400, height_mm=width_mm)
    assert tape_m(patches=7, patch=turned, patching=patching()) == pytest.approx(7 * strips * 0.4)


def test_floating_point_dust_costs_no_strip():
    """249.8 mm of 150 mm strips lapped by 50.2 mm are two, though the ratio comes out a hair above."""
    patch = Size(width_mm=249.8, height_mm=300)
    assert tape_m(patches=1, patch=patch, patching=patching(lap_mm=50.2)) == pytest.approx(0.6)


parts = st.lists(
    st.builds(
        lambda left, width, bottom, height, number: part(
            number=number, left_m=left, right_m=left + width, bottom_m=bottom, top_m=bottom + height
        ),
        st.floats(0, 10),
        st.floats(0.01, 3),
        st.floats(0, 2),
        st.floats(0.01, 7),
        st.integers(1, 3),
    ),
    min_size=1,
    max_size=6,
).map(lambda found: tuple(part(**{**fields(each), "bay": number}) for number, each in enumerate(found, 1)))


def fields(each):
    return {name: getattr(each, name) for name in ("number", "left_m", "right_m", "bottom_m", "top_m")}


reaches = st.none() | st.floats(0.4, 3)


@given(parts=parts, reach_m=reaches)
def test_every_part_has_as_many_holes_as_it_takes_and_at_least_one(parts, reach_m):
    holes = placed(*parts, reach_m=reach_m)
    for each in parts:
        count = sum(hole.bay == each.bay and hole.part == each.number for hole in holes)
        assert count == holes_in(sizes={part_size(part=each): 1}, reach_m=reach_m) >= 1
    assert [hole.number for hole in holes] == list(range(1, len(holes) + 1))


@given(parts=parts, reach_m=reaches)
def test_holes_lie_inside_their_part(parts, reach_m):
    by_bay = {each.bay: each for each in parts}
    for hole in placed(*parts, reach_m=reach_m):
        each, dust = by_bay[hole.bay], 1e-9
        assert each.left_m - dust <= hole.x_m - hole.width_mm / 2000
        assert hole.x_m + hole.width_mm / 2000 <= each.right_m + dust
        assert each.bottom_m - dust <= hole.height_m - hole.height_mm / 2000
        assert hole.height_m + hole.height_mm / 2000 <= each.top_m + dust


@given(part=st.builds(part, top_m=st.floats(0.2, 9)), reach_m=st.floats(0.2, 3))
def test_all_of_a_part_is_within_reach_of_a_hole(part, reach_m):
    holes = placed(part, reach_m=reach_m)
    heights = [hole.height_m for hole in holes]
    assert heights[0] - part.bottom_m <= reach_m + 1e-6
    assert part.top_m - heights[-1] <= reach_m + 1e-6
    assert all(above - below <= 2 * reach_m + 1e-6 for below, above in pairwise(heights))
