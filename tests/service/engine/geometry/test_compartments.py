from collections import Counter
from dataclasses import replace
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engine.geometry.compartments import bays_of, compartments, meeting, parts
from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Framing
from tests.builders import (
    attic,
    displaced,
    floor,
    fraction,
    framing,
    layer,
    opening,
    roof_slope,
    stud_wall,
    wall,
)
from tests.strategies import cavities


def found(cavity):
    return compartments(cavity=cavity)


def bays(cavity):
    return [compartment.bays for compartment in found(cavity)]


def labels(cavity):
    return [compartment.label for compartment in found(cavity)]


def up_to(last, first=1):
    return tuple(range(first, last + 1))


def two_leaves(inner=None, **fields):
    return wall(layers=(layer(145, framing()), layer(95, inner or framing())), **fields)


def door(**fields):
    """From plate to plate of a wall of 2.65 m with plates of 45 mm, its edges in the 5th and 7th bay."""
    return opening(**{"width_m": 1.0, "height_m": 2.56, "left_m": 3.0, "sill_m": 0.045} | fields)


def test_framed_through_the_full_depth_each_bay_is_a_compartment():
    cavity = stud_wall()
    assert bays(cavity) == [(bay,) for bay in up_to(10)]
    assert labels(cavity) == [f"W2/{bay}" for bay in up_to(10)]
    assert not any(compartment.shared or compartment.spills for compartment in found(cavity))


def test_an_open_layer_makes_the_cavity_one_compartment():
    (whole,) = found(wall())
    assert (whole.label, whole.bays, whole.shared) == ("W1", up_to(15), True)
    assert whole.net_volume_m3 == pytest.approx(8.322192, abs=5e-7)


def test_members_that_cross_make_the_cavity_one_compartment():
    battens = framing(member_mm=60, spacing_mm=600, plates_mm=0, runs=Runs.ACROSS)
    assert bays(roof_slope(layers=(layer(200, framing()), layer(60, battens)))) == [up_to(13)]


def test_fill_over_joists_is_one_compartment():
    assert bays(attic()) == [up_to(17)]


def test_a_cavity_without_members_is_one_compartment_that_is_not_shared():
    for layers in ((layer(300),), (layer(300, fraction()),)):
        (whole,) = found(attic(layers=layers))
        assert (whole.label, whole.bays, whole.shared) == ("A1", (1,), False)


@pytest.mark.parametrize("between", [layer(120), layer(60, framing(runs=Runs.ACROSS)), layer(60, fraction())])
def test_dividers_make_bays_again(between):
    cavity = wall(layers=(layer(145, framing()), between, layer(95, framing())), dividers=True)
    assert bays(cavity) == [(bay,) for bay in up_to(15)]


def test_dividers_run_from_each_member_to_its_own_across_leaves_that_are_set_off():
    outer, inner = framing(spacing_mm=660), framing(spacing_mm=625)
    cavity = wall(
        layers=(layer(145, outer), layer(120), layer(95, inner)), dividers=True, leaves_aligned=False
    )
    assert [each.members for each in geometry(cavity=cavity).layers] == [16, 0, 16]
    assert bays(cavity) == [(bay,) for bay in up_to(15)]


def test_dividers_cannot_part_what_a_wider_bay_of_the_other_leaf_joins():
    outer, inner = framing(spacing_mm=1200), framing(spacing_mm=600)
    cavity = wall(width_m=4.845, layers=(layer(145, outer), layer(120), layer(95, inner)), dividers=True)
    assert bays(cavity) == [(1, 2), (3, 4), (5, 6), (7, 8)]


def test_dividers_part_leaves_that_stand_face_to_face_too():
    assert bays(two_leaves(leaves_aligned=False, dividers=True)) == [(bay,) for bay in up_to(15)]


def test_dividers_share_the_open_layer_from_the_middle_of_a_member_to_the_next():
    """By hand: leaves 0.58 x 2.56 m; open layer up to the middle of the second member, 0.6475 x 2.65 m."""
    cavity = wall(layers=(layer(145, framing()), layer(200), layer(95, framing())), dividers=True)
    first, second, *_ = found(cavity)
    assert first.net_volume_m3 == pytest.approx(0.24 * 0.58 * 2.56 + 0.2 * 0.6475 * 2.65)
    assert second.net_volume_m3 == pytest.approx(0.24 * 0.58 * 2.56 + 0.2 * 0.625 * 2.65)


def test_leaves_face_to_face_with_members_opposite_keep_their_bays():
    assert bays(two_leaves()) == [(bay,) for bay in up_to(15)]
    assert bays(two_leaves(framing(member_mm=60))) == [(bay,) for bay in up_to(15)]


def test_leaves_face_to_face_with_members_not_opposite_are_one_compartment():
    assert bays(two_leaves(leaves_aligned=False)) == [up_to(15)]
    assert bays(two_leaves(framing(spacing_mm=560), width_m=3.0)) == [up_to(6)]


def test_members_that_meet_here_and_there_close_off_what_lies_between():
    """625 and 500 mm from the same edge meet every 2.5 m."""
    cavity = two_leaves(framing(spacing_mm=500))
    assert bays(cavity) == [up_to(5), up_to(10, first=6), up_to(15, first=11), up_to(19, first=16)]


def test_a_leaf_of_half_the_spacing_joins_its_bays_two_by_two():
    cavity = wall(
        width_m=4.845,
        layers=(layer(145, framing(spacing_mm=1200)), layer(95, framing(spacing_mm=600))),
    )
    assert bays(cavity) == [(1, 2), (3, 4), (5, 6), (7, 8)]
    assert labels(cavity) == ["W1/1-2", "W1/3-4", "W1/5-6", "W1/7-8"]


def test_blocking_through_the_full_depth_makes_parts():
    cavity = floor()
    assert labels(cavity)[:4] == ["F1/1.1", "F1/1.2", "F1/2.1", "F1/2.2"]
    assert len(found(cavity)) == 22
    assert found(cavity)[0].net_volume_m3 == pytest.approx(0.22 * 0.35 * (5.4 - 0.05) / 2)


def test_blocking_in_one_leaf_alone_makes_no_parts():
    blocked = framing(blocking_rows=1, blocking_mm=45)
    assert bays(two_leaves(blocked)) == [(bay,) for bay in up_to(15)]
    assert len(parts(cavity=two_leaves(blocked))) == 15


def test_blocking_through_leaves_that_are_not_opposite_cuts_them_into_an_upper_and_a_lower_compartment():
    blocked = framing(blocking_rows=1, blocking_mm=45)
    cavity = wall(layers=(layer(145, blocked), layer(95, blocked)), leaves_aligned=False)
    assert bays(cavity) == [up_to(15), up_to(15)]
    assert labels(cavity) == ["W1/1-15.1", "W1/1-15.2"]


def test_an_opening_from_plate_to_plate_splits_a_shared_compartment():
    """The door leaves 2.955 m to its left and 5.355 m to its right; bay 6 is gone, bay 5 and 7 are cut."""
    left, right = found(wall(openings=(door(),)))
    assert (left.label, left.bays, right.label, right.bays) == (
        "W1/1-5",
        up_to(5),
        "W1/7-15",
        up_to(15, first=7),
    )


def test_both_sides_of_a_door_may_lie_in_one_bay():
    """0.3 m wide in bay 5, which goes from 2.545 to 3.125 m."""
    assert labels(wall(openings=(door(width_m=0.3, left_m=2.7),))) == ["W1/1-5", "W1/5-15"]


def test_timber_and_a_box_round_an_opening_close_it_up_to_the_plates():
    assert len(found(wall(openings=(door(height_m=2.47, sill_m=0.09, trim_mm=45, reveal_mm=45),)))) == 2


def test_without_a_box_fill_passes_under_an_opening_through_the_open_layer():
    assert len(found(wall(openings=(door(height_m=2.47, sill_m=0.09, trim_mm=45),)))) == 1


@pytest.mark.parametrize(
    "window",
    [
        door(height_m=2.4),
        door(sill_m=0.9, height_m=1.2),
        opening(width_m=1.0, height_m=2.56, sill_m=0.045),
    ],
)
def test_an_opening_that_leaves_room_or_has_no_place_splits_nothing(window):
    assert len(found(wall(openings=(window,)))) == 1


def test_a_window_cuts_each_bay_that_it_fills_in_two():
    """2.0 to 3.2 m by 0.9 to 2.1 m; bays 4 and 5 (1.845 to 2.4, 2.445 to 3.0 m): the first keeps a strip."""
    cavity = stud_wall(openings=(opening(left_m=2.0, sill_m=0.9),))
    assert labels(cavity)[2:8] == ["W2/3", "W2/4", "W2/5.1", "W2/5.2", "W2/6", "W2/7"]


def test_volumes_follow_what_an_opening_leaves_of_each_bay():
    cavity = stud_wall(openings=(opening(left_m=2.0, sill_m=0.9),))
    by_label = {each.label: each.net_volume_m3 for each in found(cavity)}
    assert by_label["W2/5.1"] / by_label["W2/1"] == pytest.approx((0.9 - 0.0675) / (2.5 - 0.135))
    assert by_label["W2/5.2"] / by_label["W2/1"] == pytest.approx((2.5 - 2.1 - 0.0675) / (2.5 - 0.135))


def test_pipes_have_no_place_and_are_taken_out_in_proportion():
    plain, less = found(stud_wall()), found(stud_wall(displaced=displaced(0.1)))
    ratio = 1 - 0.1 / geometry(cavity=stud_wall()).net_volume_m3
    assert [each.net_volume_m3 for each in less] == pytest.approx(
        [ratio * each.net_volume_m3 for each in plain]
    )


def test_an_opening_without_a_place_has_closed_bays_balanced_together():
    """By hand: 15 m2 less the window, the plates, and the members as far as no window takes their place."""
    members_m2 = 11 * 0.045 * 2.365 * (1 - 1.44 / (6 * 2.365))
    (whole,) = found(stud_wall(openings=(opening(),), count=3))
    assert (whole.label, whole.bays, whole.shared, whole.spills) == ("W2", up_to(10), True, ())
    assert whole.net_volume_m3 == pytest.approx(0.14 * (15 - 1.44 - 6 * 0.135 - members_m2))


def test_one_opening_without_a_place_is_enough():
    placed = opening(left_m=2.0, sill_m=0.9)
    assert len(found(stud_wall(openings=(placed,)))) == 11
    assert bays(stud_wall(openings=(placed, opening(width_m=0.4, height_m=0.4)))) == [up_to(10)]


def test_an_opening_without_a_place_changes_nothing_where_there_is_one_compartment_anyway():
    for cavity in (wall(), wall(openings=(opening(),))):
        (whole,) = found(cavity)
        assert (whole.label, whole.bays, whole.spills) == ("W1", up_to(15), (up_to(15),))


def test_of_compartments_that_are_balanced_together_it_is_known_where_fill_moves():
    """On both sides of a door; in bays joined two by two; in halves that meet in each bay."""
    (doored,) = found(wall(openings=(door(), opening())))
    assert (doored.bays, doored.spills) == (up_to(5) + up_to(15, first=7), (up_to(5), up_to(15, first=7)))
    leaves = (layer(145, framing(spacing_mm=1200)), layer(95, framing(spacing_mm=600)))
    (paired,) = found(wall(width_m=4.845, layers=leaves, openings=(opening(),)))
    assert (paired.bays, paired.spills) == (up_to(8), ((1, 2), (3, 4), (5, 6), (7, 8)))
    blocked = framing(blocking_rows=1, blocking_mm=45)
    halves = (layer(145, blocked), layer(95, blocked))
    (halved,) = found(wall(layers=halves, leaves_aligned=False, openings=(opening(),)))
    assert (halved.bays, halved.spills) == (up_to(15), (up_to(15),))


def test_parts_of_the_only_bay_are_one_compartment_that_is_not_shared():
    """Under and over a row of blocking, and a hatch somewhere."""
    blocked = framing(blocking_rows=1, blocking_mm=45)
    narrow = stud_wall(width_m=0.6, layers=(layer(140, blocked),))
    assert labels(narrow) == ["W2/1.1", "W2/1.2"]
    (whole,) = found(replace(narrow, openings=(opening(width_m=0.3, height_m=0.3),)))
    assert (whole.label, whole.bays, whole.shared, whole.spills) == ("W2", (1,), False, ())


def test_a_pocket_that_no_bay_opens_to_goes_with_the_nearest_bay():
    """Outer bays 0.1 m wide, inner ones 0.5 m: each opens to three, with six, five and six nearest to it."""
    outer, inner = framing(member_mm=100, spacing_mm=200), framing(member_mm=500, spacing_mm=1000)
    cavity = wall(width_m=3.5, layers=(layer(100, outer), layer(100, inner)))
    assert bays(cavity) == [(1,), (2,), (3,)]
    volumes = [each.net_volume_m3 for each in found(cavity)]
    assert volumes == pytest.approx([0.1 * 2.56 * width_m for width_m in (1.1, 1.0, 1.1)])


def test_members_that_all_run_across_make_bays_that_lie_across():
    joists = Framing(member_mm=50, spacing_mm=400, blocking_rows=1, blocking_mm=50)
    hatch = opening(width_m=0.6, height_m=0.9, left_m=1.5, sill_m=3.0, trim_mm=50)
    turned_hatch = opening(width_m=0.9, height_m=0.6, left_m=3.0, sill_m=1.5, trim_mm=50)
    along = floor(layers=(layer(220, joists),), openings=(hatch,))
    across = floor(
        width_m=along.span_m,
        span_m=along.width_m,
        layers=(layer(220, replace(joists, runs=Runs.ACROSS)),),
        openings=(turned_hatch,),
    )
    assert [each.label for each in found(across)] == [each.label for each in found(along)]
    assert [each.net_volume_m3 for each in found(across)] == pytest.approx(
        [each.net_volume_m3 for each in found(along)]
    )
    for part, turned in zip(parts(cavity=along), parts(cavity=across), strict=True):
        assert (part.left_m, part.right_m) == pytest.approx((turned.bottom_m, turned.top_m))
        assert (part.bottom_m, part.top_m) == pytest.approx((turned.left_m, turned.right_m))


def edges(part):
    return (part.bay, part.number, part.left_m, part.right_m, part.bottom_m, part.top_m)


def test_a_part_goes_from_plate_to_plate():
    first, *_, last = parts(cavity=stud_wall())
    assert edges(first) == pytest.approx((1, 1, 0.045, 0.6, 0.0675, 2.4325))
    assert edges(last) == pytest.approx((10, 1, 5.445, 5.955, 0.0675, 2.4325))


def test_parts_lie_between_rows_of_blocking():
    first, second, *_ = parts(cavity=floor())
    assert edges(first) == pytest.approx((1, 1, 0.05, 0.4, 0.0, 2.675))
    assert edges(second) == pytest.approx((1, 2, 0.05, 0.4, 2.725, 5.4))


def test_every_bay_that_an_opening_crosses_has_a_part_under_it_and_a_part_over_it():
    """Trim of 45 mm included: 1.8 to 3.6 m by 0.855 to 2.145 m; bays 4 to 6, with no strip beside."""
    window = opening(width_m=1.71, left_m=1.845, sill_m=0.9, trim_mm=45)
    crossed = [part for part in parts(cavity=stud_wall(openings=(window,))) if 4 <= part.bay <= 6]
    assert [edges(part)[:2] for part in crossed] == [(4, 1), (4, 2), (5, 1), (5, 2), (6, 1), (6, 2)]
    assert edges(crossed[0]) == pytest.approx((4, 1, 1.845, 2.4, 0.0675, 0.855))
    assert edges(crossed[1]) == pytest.approx((4, 2, 1.845, 2.4, 2.145, 2.4325))


def test_where_an_opening_ends_within_a_bay_a_part_of_full_height_stands_beside_it():
    window = opening(width_m=1.2, left_m=2.0, sill_m=0.9)
    beside, under, over = (part for part in parts(cavity=stud_wall(openings=(window,))) if part.bay == 4)
    assert edges(beside) == pytest.approx((4, 1, 1.845, 2.0, 0.0675, 2.4325))
    assert edges(under) == pytest.approx((4, 2, 2.0, 2.4, 0.0675, 0.9))
    assert edges(over) == pytest.approx((4, 3, 2.0, 2.4, 2.1, 2.4325))


def test_a_bay_that_an_opening_fills_has_no_part_and_no_compartment():
    cavity = stud_wall(openings=(opening(width_m=0.6, height_m=2.5, left_m=1.2, sill_m=0.0),))
    assert {part.bay for part in parts(cavity=cavity)} == set(up_to(10)) - {3}
    assert (3,) not in bays(cavity)


@settings(max_examples=200)
@given(cavities(), st.booleans())
def test_volumes_of_compartments_add_up(cavity, divided):
    if any(each.framing and each.framing.member_mm for each in cavity.layers):
        cavity = replace(cavity, dividers=divided)
    whole = geometry(cavity=cavity)
    spaces = found(cavity)
    assert cavity.count * sum(space.net_volume_m3 for space in spaces) == pytest.approx(whole.net_volume_m3)
    assert all(space.net_volume_m3 > 0 for space in spaces)
    assert len({space.label for space in spaces}) == len(spaces)
    assert {bay for space in spaces for bay in space.bays} == {part.bay for part in parts(cavity=cavity)}
    assert len(spaces) == 1 or not cavity.unplaced


@given(cavities())
def test_parts_do_not_overlap_and_lie_within_the_cavity(cavity):
    spaces = parts(cavity=cavity)
    for one, other in combinations(spaces, 2):
        apart = (
            other.left_m - one.right_m,
            one.left_m - other.right_m,
            other.bottom_m - one.top_m,
            one.bottom_m - other.top_m,
        )
        assert max(apart) > -1e-6
    assert all(0 <= part.left_m < part.right_m <= cavity.width_m + 1e-6 for part in spaces)
    assert all(0 <= part.bottom_m < part.top_m <= cavity.span_m + 1e-6 for part in spaces)


# An independent count: the cavity in cubes of 50 mm and one layer deep, flooded with fill.


class Flooded:
    """Layers as sets of clear squares, set out square by square; `width`, `height` in squares."""

    def __init__(self, width, height, spacings, rows, doors):
        self.width, self.height, self.spacings, self.rows, self.doors = width, height, spacings, rows, doors
        self.clear = [
            {
                (column, row)
                for column in range(width)
                for row in range(1, height - 1)
                if not (spacing and self.is_timber(column, row, spacing))
                and not any(x <= column < x + w and y <= row < y + h for x, y, w, h in doors)
            }
            for spacing in spacings
        ]

    def is_timber(self, column, row, spacing):
        middle = self.rows and row == self.height // 2
        return column % spacing == 0 or column == self.width - 1 or middle

    def bay_of(self, column):
        members = sorted({*range(0, self.width, self.spacings[-1]), self.width - 1})
        gaps = [(left, right) for left, right in pairwise(members) if right - left > 1]
        return next(number for number, (left, right) in enumerate(gaps, 1) if left < column < right)

    def compartments(self):
        """Bays and volume of each flooded space that reaches the last layer."""
        dry = {(depth, *square) for depth, squares in enumerate(self.clear) for square in squares}
        spaces = []
        while dry:
            wet = [dry.pop()]
            for depth, column, row in wet:
                beside = {
                    (depth + z, column + x, row + y)
                    for z, x, y in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0), (0, 0, 1), (0, 0, -1))
                }
                wet += beside & dry
                dry -= beside
            inner = [column for depth, column, _ in wet if depth == len(self.clear) - 1]
            if inner:
                spaces.append((tuple(sorted({self.bay_of(column) for column in inner})), len(wet)))
        return sorted(spaces)

    def cavity(self):
        def leaf(spacing):
            if not spacing:
                return None
            return framing(
                member_mm=50,
                spacing_mm=50 * spacing,
                plates_mm=100,
                blocking_rows=self.rows,
                blocking_mm=50 * self.rows,
            )

        return wall(
            width_m=0.05 * self.width,
            span_m=0.05 * self.height,
            layers=tuple(layer(100, leaf(spacing)) for spacing in self.spacings),
            openings=tuple(
                opening(left_m=0.05 * x, sill_m=0.05 * y, width_m=0.05 * w, height_m=0.05 * h)
                for x, y, w, h in self.doors
            ),
        )


SPACING = st.integers(3, 9)


@st.composite
def flooded(draw, spacings):
    """2.1 to 2.5 m wide, 0.75 to 1.25 m high; one row of blocking or none; up to two openings."""
    height = draw(st.sampled_from([15, 19, 25]))
    doors = []
    for start in draw(st.sampled_from([(), (4,), (24,), (4, 24)])):
        bottom = draw(st.integers(0, 6))
        doors.append(
            (
                start + draw(st.integers(0, 5)),
                bottom,
                draw(st.integers(1, 13)),
                draw(st.integers(1, height - bottom)),
            )
        )
    return Flooded(draw(st.integers(42, 50)), height, draw(spacings), draw(st.integers(0, 1)), doors)


@settings(max_examples=150, deadline=None)
@given(flooded(st.tuples(SPACING)))
def test_one_leaf_has_the_compartments_and_volumes_that_flooding_finds(flood):
    expected, cavity = flood.compartments(), flood.cavity()
    spaces = sorted((space.bays, space.net_volume_m3) for space in found(cavity))
    assert [bays for bays, _ in spaces] == [bays for bays, _ in expected]
    cube_m3 = 0.05 * 0.05 * 0.1
    assert [volume for _, volume in spaces] == pytest.approx([cube_m3 * cubes for _, cubes in expected])
    assert geometry(cavity=cavity).net_volume_m3 == pytest.approx(cube_m3 * len(flood.clear[0]))


@settings(max_examples=150, deadline=None)
@given(flooded(st.one_of(st.tuples(SPACING, SPACING), st.tuples(SPACING, st.just(0), SPACING))))
def test_leaves_have_the_compartments_that_flooding_finds(flood):
    expected = Counter(bays for bays, _ in flood.compartments())
    assert Counter(bays(flood.cavity())) == expected


def test_what_meets_in_a_bay_is_one_group() -> None:
    """Bays 4 and 5 are cut by a window: what lies under it and over it is of one bay."""
    cut = compartments(
        cavity=stud_wall(openings=(opening(left_m=1.845, sill_m=0.9, width_m=1.11, trim_mm=45),))
    )
    groups = meeting(compartments=cut)
    assert [bays_of(compartments=group) for group in groups] == [(bay,) for bay in range(1, 11)]
    assert [len(group) for group in groups] == [1, 1, 1, 2, 2, 1, 1, 1, 1, 1]
    assert meeting(compartments=groups[0]) == [groups[0]]
