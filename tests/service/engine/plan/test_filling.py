from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.engine.geometry.compartments import compartments, parts
from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Facing, Fill, Method, Runs
from service.engine.plan.filling import fill_plan
from service.engine.plan.sequence import LAST
from service.engine.survey.cavity import Framing
from service.errors import InvalidInput
from tests.builders import (
    attic,
    floor,
    fraction,
    framing,
    lances,
    layer,
    opening,
    practice,
    stud_wall,
    wall,
)
from tests.said import said
from tests.strategies import cavities


def plan(cavity, *, mass_kg=600.0, profile=None, tubes=None):
    shape = geometry(cavity=cavity)
    return fill_plan(
        cavity=cavity,
        geometry=shape,
        compartments=compartments(cavity=cavity),
        parts=parts(cavity=cavity),
        mass_kg=mass_kg,
        practice=profile or practice(),
        lances=lances() if tubes is None else tubes,
    )


# The thinnest of the builders' lances and holes.
THINNEST_M = 0.045


def profile_with(*changed):
    """A profile whose rates are changed for some methods."""
    rates, other = practice().rates, dict(changed)
    methods = tuple(replace(each, **other.get(each.method, {})) for each in rates.methods)
    return practice(rates=replace(rates, methods=methods))


def options(found):
    return {option.method: option for option in found.alternatives}


def works(found):
    return {option.method for option in found.alternatives if option.works}


def test_a_shared_compartment_takes_the_lance_that_reaches():
    """By hand: 600/600 + 15 x 0.05 + 15 x 0.08 + 0.03 hours; patches of two strips, 300 mm long."""
    found = plan(wall())
    assert (found.method, found.lance, found.holes, found.patches) == (Method.LANCE, "L18", 15, 15)
    assert found.hours == pytest.approx(1 + 0.75 + 1.2 + 0.03)
    assert (found.patch_width_mm, found.patch_height_mm) == (165, 300)
    assert found.tape_m == pytest.approx(15 * 2 * 0.3)
    assert said(found.reason) == (
        "Lance L18 (1 800 mm long, 50 mm thick) reaches 1.48 m both ways and goes through the spill."
    )


def test_the_crew_gets_a_hole_and_a_step_for_every_bay():
    found = plan(wall())
    assert [hole.bay for hole in found.hole_list] == list(range(1, 16))
    assert {round(hole.height_m, 9) for hole in found.hole_list} == {2.65 / 2}
    assert found.hole_list[0].x_m == pytest.approx((0.045 + 0.625) / 2)
    assert [step.bay for step in found.sequence] == list(range(1, 16))
    assert [step.recompress for step in found.sequence] == [False] + 14 * [True]


def test_the_deep_twin_stud_wall_of_common_practice():
    """Common practice: 50 x 150 studs, 150 mm gap, 50 x 100 studs; one entry a bay, tape 150 mm wide.

    The slit is 50 mm wide, so that 50 mm past it on either side are the width of the roll.
    """
    studs = Framing(member_mm=50, spacing_mm=600, plates_mm=100)
    deep = wall(width_m=9.6, span_m=2.7, layers=(layer(150, studs), layer(150), layer(100, studs)))
    found = plan(deep, profile=profile_with((Method.LANCE, {"hole_mm": 50.0})), tubes=(lance_of(1800, 48),))
    assert (found.method, found.holes) == (Method.LANCE, 16)
    assert (found.patch_width_mm, found.tape_m) == (150, pytest.approx(16 * 0.3))


def lance_of(length_mm, diameter_mm):
    return replace(lances()[0], code="own", length_mm=length_mm, diameter_mm=diameter_mm)


def test_identical_cavities_count():
    one, three = plan(wall()), plan(wall(count=3), mass_kg=1800)
    assert (three.holes, three.patches) == (3 * one.holes, 3 * one.patches)
    assert three.hours == pytest.approx(3 * one.hours)
    assert three.tape_m == pytest.approx(3 * one.tape_m)
    assert three.hole_list == one.hole_list


def test_without_a_lance_the_quicker_of_hoses_and_strips():
    """By hand: beside 600/350 + 15 x 0.13 + 0.03 hours, hoses 15 x 0.1 and strips 15 x 0.25; 14 x 2.65 m."""
    found = plan(wall(), tubes=())
    beside = 600 / 350 + 15 * 0.13 + 0.03
    assert found.method is Method.SEVERAL_HOSES
    assert found.hours == pytest.approx(beside + 1.5)
    assert options(found)[Method.DIVIDED_BAYS].hours == pytest.approx(beside + 3.75)
    assert options(found)[Method.DIVIDED_BAYS].strip_m == pytest.approx(14 * 2.65)
    assert said(found.reason).endswith("fewest hours. There is no lance in the contractor's list.")
    assert found.strip_m == 0

    quick_strips = profile_with((Method.DIVIDED_BAYS, {"per_bay_h": 0.05}))
    found = plan(wall(count=2), profile=quick_strips, tubes=())
    assert (found.method, found.strip_m) == (Method.DIVIDED_BAYS, pytest.approx(2 * 14 * 2.65))
    assert not any(step.recompress for step in found.sequence)

    # A gable from 0.65 m at both eaves to 2.65 m at the ridge: its strips end at the edge.
    gable = plan(wall(profile_m=((0.0, 0.65), (4.7, 2.65), (9.4, 0.65))), profile=quick_strips, tubes=())
    heights = [0.65 + 2 * min(x, 9.4 - x) / 4.7 for x in (0.625 * number + 0.0225 for number in range(1, 15))]
    assert gable.strip_m == pytest.approx(sum(heights))


def test_lances_that_will_not_do_are_named_with_the_limit_that_fails():
    found = plan(wall(), tubes=(lance_of(300, 40), lance_of(1800, 65), lance_of(700, 40)))
    assert found.method is Method.SEVERAL_HOSES
    assert said(options(found)[Method.LANCE].reason) == (
        "No lance of the contractor's list will do (own: no longer than the 300 mm that stay outside, "
        "own: not thinner than the 65 mm hole, "
        "own: reaching less than 0.50 m before the far side or its own end stops it)."
    )


def test_closed_bays_take_a_plain_hose():
    found = plan(stud_wall())
    assert (found.method, found.holes, found.lance) == (Method.HOSE, 10, None)
    assert (found.hole_list[0].width_mm, found.hole_list[0].height_mm) == (110, 110)
    assert not any(step.recompress for step in found.sequence)
    assert works(found) == {Method.HOSE, Method.SEVERAL_HOSES}
    assert options(found)[Method.DIVIDED_BAYS].reason.code == "plan.bays_closed_off_already"


def test_strips_that_are_there_already_leave_it_to_the_hose():
    assert plan(wall(dividers=True)).method is Method.HOSE


def test_a_plain_hose_is_shut_out_by_the_spill():
    hose = options(plan(wall()))[Method.HOSE]
    assert (hose.works, hose.hours, hose.holes, hose.tape_m) == (False, None, None, 0)
    assert hose.reason.code == "plan.bays_spill"


def test_every_method_is_shown_once():
    for cavity in (wall(), stud_wall(), attic()):
        assert [option.method for option in plan(cavity).alternatives] == list(Method)


def test_an_open_blow_cuts_nothing():
    """By hand: 1500/500 + 0.03 hours."""
    found = plan(attic(), mass_kg=1500)
    assert found.method is Method.OPEN_BLOW
    assert works(found) == {Method.OPEN_BLOW}
    assert (found.holes, found.patches, found.tape_m, found.patch_width_mm) == (0, 0, 0, 0)
    assert (found.hole_list, found.sequence, found.notes) == ((), (), ())
    assert found.hours == pytest.approx(3.03)


def test_blocking_gives_each_half_of_a_bay_its_own_hole():
    """By hand: joists of 50 at 400 mm over 4.2 m are 12, so 11 bays, each cut once."""
    found = plan(floor())
    assert found.holes == 22
    assert [(hole.bay, hole.part) for hole in found.hole_list[:3]] == [(1, 1), (1, 2), (2, 1)]


def test_a_hose_of_limited_reach_needs_more_holes():
    """By hand: halves of 2.675 m at a reach of 1.0 m are two stretches each."""
    short = profile_with((Method.HOSE, {"reach_m": 1.0}))
    assert plan(floor(), profile=short).holes == 44
    anywhere = profile_with((Method.HOSE, {"reach_m": None}))
    assert plan(floor(), profile=anywhere).holes == 22


def test_over_and_under_a_window_short_bays_get_their_own_holes():
    """By hand: bay 4 is 1.845 to 2.4 m; with its trim the window fills it from 0.955 to 2.045 m."""
    window = opening(left_m=1.89, sill_m=1.0, width_m=0.465, height_m=1.0, trim_mm=45)
    found = plan(stud_wall(openings=(window,)))
    assert found.holes == 11
    assert [hole.height_m for hole in found.hole_list if hole.bay == 4] == pytest.approx([0.51125, 2.23875])
    assert [hole.x_m for hole in found.hole_list if hole.bay == 4] == pytest.approx(2 * [2.1225])


def test_openings_without_a_place_are_told_to_the_crew():
    placed, unplaced = (
        plan(stud_wall(openings=(each,))) for each in (opening(left_m=1.0, sill_m=0.9), opening())
    )
    assert len(unplaced.notes) == len(placed.notes) + 1
    assert "not cut out of the bays" in said(unplaced.notes[-1])
    assert "known in total, but not bay by bay" in said(unplaced.notes[-1])


def test_closed_bays_that_are_balanced_together_take_a_plain_hose():
    """All that an opening without a place changes is the last bay's sample."""
    found, plain = plan(stud_wall(openings=(opening(),))), plan(stud_wall())
    assert (found.method, found.hours, found.reason) == (Method.HOSE, plain.hours, plain.reason)
    assert not any(step.recompress for step in found.sequence)
    assert [step.bay for step in found.sequence if LAST in step.notes] == [10]


def test_bays_of_which_some_let_fill_through_take_no_plain_hose():
    door = opening(width_m=1.0, height_m=2.56, left_m=3.0, sill_m=0.045)
    found = plan(wall(openings=(door, opening())))
    assert found.method is Method.LANCE
    assert [step.bay for step in found.sequence if not step.recompress] == [1, 7]


def test_bays_that_nobody_measured_are_told_to_the_crew():
    found = plan(stud_wall(layers=(layer(140, fraction()),)))
    assert "count the bays on site" in said(found.notes[-1])


@pytest.mark.parametrize(
    ("facing", "asks"),
    [
        (Facing.MEMBRANE, "rounded corners"),
        (Facing.NETTING, "same day"),
        (Facing.BOARD, "drilling the board"),
        (Facing.LINING, "existing lining"),
    ],
)
def test_each_facing_asks_for_its_own_care(facing, asks):
    (note,) = plan(stud_wall(facing=facing)).notes
    assert asks in said(note)


def test_only_a_soft_facing_is_slit_for_a_lance():
    """A drilled hole is as high as it is wide: the lance goes in steeply and meets the far side early."""
    assert plan(wall(facing=Facing.NETTING)).hole_list[0].height_mm == 200
    boarded = plan(wall(facing=Facing.BOARD), tubes=(lance_of(1800, 50),))
    assert boarded.method is Method.SEVERAL_HOSES
    assert "reaching less than 0.50 m" in said(options(boarded)[Method.LANCE].reason)


def test_no_strips_behind_an_existing_lining():
    found = plan(wall(facing=Facing.LINING), tubes=())
    assert options(found)[Method.DIVIDED_BAYS].reason.code == "plan.lining_is_up"
    assert found.method is Method.SEVERAL_HOSES


def test_no_strips_along_members_that_cross():
    crossed = wall(layers=(layer(145, framing()), layer(60, framing(runs=Runs.ACROSS))))
    assert options(plan(crossed))[Method.DIVIDED_BAYS].reason.code == "plan.strips_need_members"


def test_no_strips_between_leaves_of_different_bays():
    """By hand: 9.4 m at 625 and at 600 mm are 15 and 16 bays."""
    apart = wall(layers=(layer(145, framing()), layer(120), layer(95, framing(spacing_mm=600))))
    found = plan(apart, tubes=())
    assert options(found)[Method.DIVIDED_BAYS].reason.code == "plan.leaves_differ"
    assert found.method is Method.SEVERAL_HOSES


@settings(deadline=None)
@given(cavity=cavities())
def test_where_strips_work_they_make_a_compartment_of_each_bay(cavity):
    found = plan(cavity)
    parted = replace(cavity, dividers=True)
    if Method.DIVIDED_BAYS in works(found):
        spaces = compartments(cavity=parted)
        assert not any(space.spills for space in spaces)


def test_bays_that_lie_across_are_slit_along_their_length():
    """The same wall turned by a quarter: the same holes, strips and tape, the slit lying."""
    upright = wall()
    lying = tuple(
        replace(each, framing=replace(each.framing, runs=Runs.ACROSS)) if each.framing else each
        for each in upright.layers
    )
    one, other = plan(upright), plan(replace(upright, width_m=2.65, span_m=9.4, layers=lying))
    assert (other.method, other.lance, other.holes) == (one.method, one.lance, one.holes)
    assert (other.patch_width_mm, other.patch_height_mm) == (one.patch_height_mm, one.patch_width_mm)
    assert other.tape_m == pytest.approx(one.tape_m)
    strips = [options(each)[Method.DIVIDED_BAYS].strip_m for each in (one, other)]
    assert strips[1] == pytest.approx(strips[0]) == pytest.approx(14 * 2.65)
    assert [(hole.height_m, hole.x_m) for hole in other.hole_list] == [
        pytest.approx((hole.x_m, hole.height_m)) for hole in one.hole_list
    ]


def test_more_holes_than_any_cavity_takes_are_refused():
    """By hand: 400 x 400 m without members at a reach of 1.5 m is 134 x 134 holes."""
    vast = stud_wall(width_m=400, span_m=400, layers=(layer(140),))
    with pytest.raises(InvalidInput) as refused:
        plan(vast, profile=profile_with((Method.HOSE, {"reach_m": 1.5})))
    (fault,) = refused.value.faults
    assert fault.pointer == "/width_m"
    assert "more than 5 000 holes" in said(fault.detail)
    assert plan(vast, profile=profile_with((Method.HOSE, {"reach_m": None}))).holes == 1


def test_a_dense_fill_needs_a_facing():
    with pytest.raises(InvalidInput) as refused:
        plan(wall(facing=Facing.NONE))
    assert [fault.pointer for fault in refused.value.faults] == ["/facing"]
    assert plan(attic(facing=Facing.NONE, fill=Fill.OPEN)).method is Method.OPEN_BLOW


def test_the_settings_are_those_of_the_method():
    told = profile_with(
        (Method.HOSE, {"settings": {"en": "air full"}}), (Method.LANCE, {"settings": {"en": "air half"}})
    )
    assert (plan(stud_wall(), profile=told).settings, plan(wall(), profile=told).settings) == (
        {"en": "air full"},
        {"en": "air half"},
    )


@given(
    width_m=st.floats(1, 12),
    span_m=st.floats(0.8, 7),
    spacing_mm=st.sampled_from([300, 406.4, 600, 625]),
    gap_mm=st.sampled_from([None, 60, 120, 250]),
    rows=st.integers(0, 2),
    facing=st.sampled_from([Facing.MEMBRANE, Facing.BOARD, Facing.LINING]),
)
def test_every_part_with_room_has_a_hole_and_every_bay_its_turn(
    width_m, span_m, spacing_mm, gap_mm, rows, facing
):
    studs = framing(spacing_mm=spacing_mm, blocking_rows=rows, blocking_mm=45.0 if rows else 0.0)
    gap = () if gap_mm is None else (layer(gap_mm), layer(95, studs))
    cavity = stud_wall(width_m=width_m, span_m=span_m, layers=(layer(145, studs), *gap), facing=facing)
    found = plan(cavity)
    pieces = {(part.bay, part.number) for part in parts(cavity=cavity)}
    slivers = {
        (part.bay, part.number)
        for part in parts(cavity=cavity)
        if round(min(part.right_m - part.left_m, part.top_m - part.bottom_m), 9) <= THINNEST_M
    }
    holed = {(hole.bay, hole.part) for hole in found.hole_list}
    assert holed == pieces - slivers
    assert [step.bay for step in found.sequence] == sorted({bay for bay, _ in pieces})
    assert found.hours > 600 / max(rates.kg_h for rates in practice().rates.methods)
    assert (found.method is Method.HOSE) is (gap_mm is None or len({bay for bay, _ in pieces}) == 1)
