import math
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.geometry.compartments import Part
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Element, Facing, Runs, Standing
from service.engine.plan.holes import Size, part_size
from service.engine.plan.lances import (
    best_fit,
    clear_depth_mm,
    entered,
    lance_fit,
    lance_fits,
    reach_m,
    refusals,
    useful,
)
from service.engine.survey.cavity import Cavity, Framing, Layer
from service.engine.survey.practice import Lance, LanceUse
from tests.said import said

USE = LanceUse(
    held_mm=300, slit_mm=200, least_reach_mm=500, source="made up", standing=Standing.COMMON_PRACTICE
)
SLIT = Size(width_mm=60, height_mm=200)


def lance(length_mm=1800.0, diameter_mm=50.0, curve_deg=0.0, code="L"):
    return Lance(code=code, length_mm=length_mm, diameter_mm=diameter_mm, curve_deg=curve_deg)


def bay(width_m=0.55, height_m=2.6, number=1):
    return Part(
        bay=number, number=1, left_m=0.05, right_m=0.05 + width_m, bottom_m=0.05, top_m=0.05 + height_m
    )


BAY = (bay(),)


def fit(tube, *, parts=BAY, depth_mm=400.0, hole=SLIT):
    sizes = Counter(part_size(part=part) for part in parts)
    return lance_fit(lance=tube, sizes=sizes, depth_mm=depth_mm, hole=hole, use=USE)


def pushed_in_m(tube, *, room_mm, slit_mm, held_mm):
    """The reach by trial: push the tube in step by step, at every slant that the hole lets it have."""
    steepest, step_mm, best_mm = math.pi / 2, 2.0, 0.0
    flattest = math.asin(tube.diameter_mm / slit_mm)
    turn = math.radians(tube.curve_deg) / tube.length_mm * step_mm
    for trial in range(400):
        heading = flattest + (steepest - flattest) * trial / 400
        along_mm = across_mm = inside_mm = 0.0
        while inside_mm + step_mm <= tube.length_mm - held_mm:
            along_mm += step_mm * math.cos(heading - turn / 2)
            across_mm += step_mm * math.sin(heading - turn / 2)
            heading, inside_mm = heading - turn, inside_mm + step_mm
            if not 0 <= across_mm <= room_mm:
                break
            best_mm = max(best_mm, along_mm)
    return best_mm / 1000


@pytest.mark.parametrize("curve_deg", [0, 5, 20, 40, 60, 90])
@pytest.mark.parametrize(("length_mm", "room_mm"), [(1200, 90), (1800, 150), (1800, 350), (3000, 250)])
def test_reach_agrees_with_a_tube_pushed_in_by_small_steps(curve_deg, length_mm, room_mm):
    tube = lance(length_mm=length_mm, curve_deg=curve_deg)
    tried = pushed_in_m(tube, room_mm=room_mm, slit_mm=200, held_mm=300)
    assert reach_m(lance=tube, room_mm=room_mm, slit_mm=200, held_mm=300) == pytest.approx(tried, rel=0.005)


def test_a_straight_lance_stopped_by_the_far_side_is_a_3_4_5_triangle():
    """Diameter 60 in a hole of 100: sine 0.6; 300 deep, so 500 inside and 400 along (Pythagoras)."""
    tube = lance(length_mm=3000, diameter_mm=60)
    assert reach_m(lance=tube, room_mm=300, slit_mm=100, held_mm=300) == pytest.approx(0.4)


def test_a_straight_lance_stopped_by_its_length_is_a_3_4_5_triangle():
    tube = lance(length_mm=800, diameter_mm=60)
    assert reach_m(lance=tube, room_mm=301, slit_mm=100, held_mm=300) == pytest.approx(0.4)
    assert reach_m(lance=tube, room_mm=400, slit_mm=100, held_mm=550) == pytest.approx(0.2)


def test_an_arc_that_fits_lies_as_a_chord():
    """A sixth of a circle that is all inside: its chord is as long as its radius (Euclid IV.15)."""
    tube = lance(length_mm=1000, diameter_mm=20, curve_deg=60)
    radius_m = 1.0 / (math.pi / 3)
    assert reach_m(lance=tube, room_mm=400, slit_mm=200, held_mm=0) == pytest.approx(radius_m)


def test_a_nearly_straight_lance_reaches_what_a_straight_one_does():
    straight, nearly, hardly = (
        reach_m(lance=lance(curve_deg=deg), room_mm=150, slit_mm=200, held_mm=300)
        for deg in (0, 2e-3, 5e-324)
    )
    assert nearly == pytest.approx(straight, rel=1e-4)
    assert hardly == straight


def test_one_hole_does_in_the_deep_twin_stud_wall():
    """Common practice: in a 400 mm twin-stud wall the tip gets to either plate from one entry part-way up."""
    found = fit(lance(), parts=(bay(height_m=2.6),))
    assert (found.refusal, found.holes, found.missed) == (None, 1, 0)
    assert found.reach_m >= 1.3


def test_a_curve_reaches_where_the_far_side_stops_a_straight_lance():
    straight, curved = fit(lance(), depth_mm=200), fit(lance(curve_deg=25), depth_mm=200)
    assert curved.reach_m > 2 * straight.reach_m
    assert best_fit(fits=(straight, curved)) is curved


@pytest.mark.parametrize(
    ("tube", "depth_mm", "refusal"),
    [
        (lance(diameter_mm=60), 400, "not thinner than the 60 mm hole"),
        (lance(), 50, "not thinner than the 50 mm clear depth"),
        (lance(length_mm=300), 400, "no longer than the 300 mm that stay outside"),
        (lance(), 120, "reaching less than 0.50 m before the far side or its own end stops it"),
        (lance(length_mm=800), 400, "reaching less than 0.50 m before the far side or its own end stops it"),
    ],
)
def test_a_refusal_names_the_limit_that_fails(tube, depth_mm, refusal):
    found = fit(tube, depth_mm=depth_mm)
    assert said(found.refusal) == refusal
    assert best_fit(fits=[found]) is None


def test_a_short_reach_is_enough_where_one_hole_a_part_does():
    assert fit(lance(length_mm=800), parts=(bay(height_m=0.8),)).refusal is None


def test_the_bay_must_be_wider_than_the_lance():
    assert fit(lance(), parts=(bay(width_m=0.05),)).refusal == message("plan.lance_not_in_bay")
    sliver_and_bay = (bay(width_m=0.045, number=1), bay(number=2))
    thick, thin = fit(lance(), parts=sliver_and_bay), fit(lance(diameter_mm=38), parts=sliver_and_bay)
    assert (thick.refusal, thick.missed, thin.missed) == (None, 1, 0)
    assert best_fit(fits=(thick, thin)) is thin


def test_fewest_holes_first_then_the_shortest_the_thickest_the_straightest():
    short, right, long = (fit(lance(length_mm=mm, code=str(mm))) for mm in (1000, 1700, 2600))
    assert (short.holes, right.holes, long.holes) == (2, 1, 1)
    assert best_fit(fits=(long, short, right)) is right
    thin = fit(lance(length_mm=1700, diameter_mm=40, code="0"))
    bent = fit(lance(length_mm=1700, curve_deg=15, code="0"))
    assert best_fit(fits=(thin, bent, right)) is right
    assert best_fit(fits=()) is None


def layers(*, runs=Runs.ALONG):
    studs = Framing(member_mm=45, spacing_mm=600, runs=runs)
    return (
        Layer(depth_mm=145, framing=Framing(member_mm=45, spacing_mm=600)),
        Layer(depth_mm=120),
        Layer(depth_mm=95, framing=studs),
    )


@pytest.mark.parametrize(
    ("aligned", "runs", "depth_mm"),
    [
        (True, Runs.ALONG, 145 + 120 + 95),
        (False, Runs.ALONG, 120 + 95),
        (True, Runs.ACROSS, 145 + 120),
    ],
)
def test_clear_depth_leaves_out_timber_in_the_way(aligned, runs, depth_mm):
    cavity = Cavity(
        label="W1", element=Element.WALL, width_m=6, span_m=2.6, layers=layers(runs=runs),
        facing=Facing.MEMBRANE, leaves_aligned=aligned,
    )  # fmt: skip
    assert clear_depth_mm(cavity=cavity) == depth_mm


lengths = st.floats(600, 4000)
bays = st.lists(
    st.builds(bay, width_m=st.floats(0.1, 1.2), height_m=st.floats(0.3, 7)), min_size=1, max_size=5
).map(tuple)


@given(shorter=lengths, more=st.floats(0, 2000), parts=bays, depth_mm=st.floats(100, 600))
def test_a_longer_straight_lance_never_needs_more_holes(shorter, more, parts, depth_mm):
    short, long = (
        fit(lance(length_mm=mm), parts=parts, depth_mm=depth_mm) for mm in (shorter, shorter + more)
    )
    assert long.holes <= short.holes


@given(shorter=lengths, more=st.floats(0, 2000), parts=bays, per_m=st.floats(1, 40))
def test_nor_does_a_longer_one_of_the_same_bend(shorter, more, parts, per_m):
    short, long = (
        fit(lance(length_mm=mm, curve_deg=per_m * mm / 1000), parts=parts) for mm in (shorter, shorter + more)
    )
    assert long.holes <= short.holes


@given(
    tubes=st.lists(
        st.builds(
            lance, length_mm=lengths, diameter_mm=st.sampled_from([32, 38, 50]), curve_deg=st.floats(0, 60)
        ),
        min_size=2,
        max_size=6,
    ),
    parts=bays,
)
def test_another_lance_in_the_list_never_costs_a_hole(tubes, parts):
    fits = [fit(tube, parts=parts) for tube in tubes]
    fewer, more = best_fit(fits=fits[1:]), best_fit(fits=fits)
    if fewer:
        assert more is not None
        assert more.holes + more.missed <= fewer.holes + fewer.missed


tubes = st.builds(
    lance,
    length_mm=st.sampled_from([250.0, 800.0, 1200.0, 1500.0, 1800.0, 2400.0, 3000.0]),
    diameter_mm=st.sampled_from([32.0, 38.0, 48.0, 55.0, 70.0]),
    curve_deg=st.sampled_from([0.0, 20.0, 40.0]),
)
narrow_bays = st.builds(
    bay, width_m=st.sampled_from([0.035, 0.05, 0.1, 0.58, 1.2]), height_m=st.floats(0.03, 5)
)


@given(
    tubes=st.lists(tubes, max_size=8),
    parts=st.lists(narrow_bays, min_size=1, max_size=5).map(tuple),
    depth_mm=st.sampled_from([40.0, 120.0, 200.0, 400.0]),
    hole=st.sampled_from([SLIT, Size(width_mm=60, height_mm=60)]),
)
def test_a_lance_that_another_always_betters_is_never_the_one_to_take(tubes, parts, depth_mm, hole):
    """The choice among those that may be best is the one among all, each looked at by itself."""
    all_of_them = tuple(
        lance(each.length_mm, each.diameter_mm, each.curve_deg, f"L{n}") for n, each in enumerate(tubes)
    )
    sizes = Counter(part_size(part=part) for part in parts)
    fits = [fit(tube, parts=parts, depth_mm=depth_mm, hole=hole) for tube in all_of_them]
    in_depth = entered(lances=all_of_them, depth_mm=depth_mm, hole=hole, use=USE)
    few = lance_fits(entered=useful(entered=in_depth), sizes=sizes, least_reach_mm=USE.least_reach_mm)
    assert best_fit(fits=few) == best_fit(fits=fits)
    refused = refusals(entered=in_depth, sizes=sizes, least_reach_mm=USE.least_reach_mm)
    assert refused == tuple((each.lance.code, each.refusal) for each in fits if each.refusal)
