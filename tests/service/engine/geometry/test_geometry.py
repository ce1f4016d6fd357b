from dataclasses import replace
from math import ceil, isfinite

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from service.engine.geometry.bays import last_members_overlap, member_starts_m
from service.engine.geometry.geometry import geometry
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Cavity, Framing
from service.errors import InvalidInput
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
from tests.strategies import cavities, framings

FOOT_M = 0.3048
INCH_MM = 25.4


def check_value_wall():
    """9.6 x 2.7 m: 150 mm framed, 150 mm open, 100 mm framed, members 50 at 600 mm, plates 100 mm."""
    leaf = framing(member_mm=50, spacing_mm=600, plates_mm=100)
    return wall(width_m=9.6, span_m=2.7, layers=(layer(150, leaf), layer(150), layer(100, leaf)))


@pytest.mark.parametrize(
    ("cavity", "members", "net_m3", "gross_m3", "timber_percent"),
    [
        (wall(), 16, 8.322192, 8.967600, 7.197),
        (check_value_wall(), 17, 9.575500, 10.368000, 7.644),
        (floor(), 12, 4.237200, 4.2 * 5.4 * 0.22, 15.079),
        (stud_wall(openings=(opening(width_m=1.5, height_m=1.2),)), 11, 1.591496, 2.1, 13.880),
    ],
    ids=["twin-stud wall", "check-value wall", "floor with blocking", "wall with an opening"],
)
def test_worked_values(cavity, members, net_m3, gross_m3, timber_percent):
    """Worked by hand, apart from this code; to the digits that were written down."""
    found = geometry(cavity=cavity)
    assert found.layers[0].members == members
    assert found.net_volume_m3 == pytest.approx(net_m3, abs=5e-7)
    assert found.gross_volume_m3 == pytest.approx(gross_m3, abs=5e-7)
    assert found.timber_percent == pytest.approx(timber_percent, abs=5e-4)


def test_a_us_bag_fills_three_bays():
    """About 30 lb for three bays of 8 ft, 2x4 at 16 in (second-hand), at 3.5 lb/ft3 (NREL SWS 4.1005.6)."""
    cavity = stud_wall(
        width_m=(3 * 16 + 1.5) * INCH_MM / 1000,
        span_m=8 * FOOT_M,
        layers=(
            layer(
                3.5 * INCH_MM,
                framing(member_mm=1.5 * INCH_MM, spacing_mm=16 * INCH_MM, plates_mm=4.5 * INCH_MM),
            ),
        ),
    )
    assert geometry(cavity=cavity).net_volume_m3 / FOOT_M**3 * 3.5 == pytest.approx(30, rel=0.1)


def test_timber_of_a_us_wall_is_near_the_code_value():
    """WAC 51-11-1005.2: studs and plates 0.19 of a standard wall at 16 in, headers apart.

    A plausibility check: 12 x 8 ft, three plates, one window of 4 x 4 ft with a
    single stud all round. Real walls have more or fewer studs at corners.
    """
    cavity = stud_wall(
        width_m=12 * FOOT_M,
        span_m=8 * FOOT_M,
        layers=(
            layer(140, framing(member_mm=1.5 * INCH_MM, spacing_mm=16 * INCH_MM, plates_mm=4.5 * INCH_MM)),
        ),
        openings=(opening(width_m=4 * FOOT_M, height_m=4 * FOOT_M, trim_mm=1.5 * INCH_MM),),
    )
    assert geometry(cavity=cavity).layers[0].timber_fraction == pytest.approx(0.19, abs=0.02)


def test_bays_and_clear_widths():
    found = geometry(cavity=check_value_wall())
    assert found.bays == 16
    assert found.bay_widths_m == (0.55,) * 15 + (0.5,)
    assert found.layers[1].bay_widths_m == ()


def test_bays_are_those_of_the_innermost_leaf():
    outer, inner = framing(spacing_mm=400), framing(spacing_mm=625)
    found = geometry(cavity=wall(layers=(layer(100, outer), layer(120), layer(100, inner))))
    assert (found.bays, found.layers[0].members, found.layers[2].members) == (15, 25, 16)
    assert found.bay_widths_m == found.layers[2].bay_widths_m


def test_a_cavity_without_members_is_one_bay():
    found = geometry(cavity=attic(layers=(layer(300),)))
    assert (found.bays, found.bay_widths_m, found.timber_percent, found.bays_known) == (1, (10.0,), 0, True)


def test_a_timber_fraction_says_nothing_of_bays():
    found = geometry(cavity=stud_wall(layers=(layer(140, fraction(0.15)),)))
    assert found.net_volume_m3 == pytest.approx(6.0 * 2.5 * 0.14 * 0.85)
    assert (found.timber_percent, found.bays, found.bays_known) == (pytest.approx(15), 1, False)


def test_trim_is_apart_from_a_timber_fraction():
    window = opening(width_m=1.5, height_m=1.2, trim_mm=50)
    found = geometry(cavity=stud_wall(layers=(layer(140, fraction(0.15)),), openings=(window,)))
    assert found.layers[0].net_area_m2 == pytest.approx((15 - 1.8) * 0.85 - 2 * 2.7 * 0.05 - 4 * 0.05**2)


def test_trim_stands_in_framed_layers_only():
    plain, trimmed = (
        geometry(cavity=wall(openings=(opening(left_m=1.87, sill_m=0.9, trim_mm=trim_mm),)))
        for trim_mm in (0, 45)
    )
    # The ring, less what of it lies over the two members that the opening crosses.
    lost_m2 = 1.29 * 1.29 - 1.2 * 1.2 - 4 * 0.045 * 0.045
    assert plain.layers[0].net_area_m2 - trimmed.layers[0].net_area_m2 == pytest.approx(lost_m2)
    assert plain.layers[1].net_area_m2 == trimmed.layers[1].net_area_m2
    assert plain.net_volume_m3 - trimmed.net_volume_m3 == pytest.approx(lost_m2 * 0.240)


def test_net_area_of_the_cavity_is_less_openings_alone():
    found = geometry(cavity=wall(openings=(opening(count=2, trim_mm=45),), count=3))
    assert found.net_area_m2 == pytest.approx(3 * (9.4 * 2.65 - 2 * 1.44))
    assert found.gross_area_m2 == pytest.approx(3 * 9.4 * 2.65)


def test_count_multiplies_volumes_and_areas_but_not_bays():
    one, four = geometry(cavity=floor()), geometry(cavity=floor(count=4))
    assert four.net_volume_m3 == pytest.approx(4 * one.net_volume_m3)
    assert four.layers[0].net_area_m2 == pytest.approx(4 * one.layers[0].net_area_m2)
    assert (four.bays, four.timber_percent) == (one.bays, one.timber_percent)


def test_displaced_volume_is_taken_out_of_each_cavity_and_is_no_timber():
    found = geometry(cavity=wall(displaced=displaced(0.5), count=2))
    assert found.net_volume_m3 == pytest.approx(2 * (8.322192 - 0.5), abs=1e-6)
    assert found.timber_percent == pytest.approx(7.197, abs=5e-4)


def test_members_across_exchange_width_and_span():
    along = floor(openings=(opening(width_m=0.8, height_m=1.1, left_m=0.5, sill_m=1.0, trim_mm=50),))
    joists = replace(along.layers[0].framing, runs=Runs.ACROSS)
    across = floor(
        width_m=along.span_m,
        span_m=along.width_m,
        layers=(layer(220, joists),),
        openings=(opening(width_m=1.1, height_m=0.8, left_m=1.0, sill_m=0.5, trim_mm=50),),
    )
    found, turned = geometry(cavity=along), geometry(cavity=across)
    assert turned.net_volume_m3 == pytest.approx(found.net_volume_m3)
    assert turned.timber_percent == pytest.approx(found.timber_percent)
    assert turned.bay_widths_m == found.bay_widths_m == (0.35,) * 10 + (0.1,)


def test_crossing_battens_leave_the_bays_to_the_members_along():
    battens = framing(member_mm=60, spacing_mm=600, plates_mm=0, runs=Runs.ACROSS)
    found = geometry(cavity=wall(layers=(layer(160, framing()), layer(60, battens))))
    assert found.bays == 15
    assert found.layers[1].members == 6  # over the height of 2.65 m: 2.59 / 0.6 = 4.3
    assert found.layers[1].net_area_m2 == pytest.approx(9.4 * (2.65 - 6 * 0.06))


def test_a_roof_slope_and_an_attic():
    """Rafters: 7.94 / 0.625 = 12.7, so 14; joists: 9.95 / 0.6 = 16.6, so 18, under 100 mm without timber."""
    assert geometry(cavity=roof_slope()).net_volume_m3 == pytest.approx((8.0 - 14 * 0.06) * 5.0 * 0.24)
    assert geometry(cavity=attic()).net_volume_m3 == pytest.approx(8.0 + (10.0 - 18 * 0.05) * 8.0 * 0.2)


def test_an_opening_that_only_leaves_timber_is_refused():
    """The wall's formula leaves out timber in proportion; that alone would let this through."""
    whole = opening(width_m=5.91, height_m=2.365, left_m=0.045, sill_m=0.0675)
    with pytest.raises(InvalidInput) as refused:
        geometry(cavity=stud_wall(openings=(whole,)))
    assert refused.value.faults[0].pointer == "/openings"


@pytest.mark.parametrize(
    ("cavity", "pointer"),
    [
        (stud_wall(displaced=displaced(1.9)), "/displaced"),
        (stud_wall(openings=(opening(count=8, trim_mm=400),)), "/layers/0/framing"),
        (
            stud_wall(layers=(layer(), layer(100, fraction(0.99))), openings=(opening(trim_mm=45),)),
            "/layers/1/framing",
        ),
    ],
)
def test_a_net_volume_of_nothing_is_refused(cavity, pointer):
    with pytest.raises(InvalidInput) as refused:
        geometry(cavity=cavity)
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def accepted(cavity):
    try:
        return geometry(cavity=cavity)
    except InvalidInput:
        return None


@given(cavities(), st.sampled_from([2.0, 0.5, 3.0]))
def test_volumes_go_with_the_cube_of_the_scale(cavity, scale):
    found, larger = geometry(cavity=cavity), geometry(cavity=scaled(cavity, scale))
    assert larger.net_volume_m3 == pytest.approx(scale**3 * found.net_volume_m3)
    assert larger.net_area_m2 == pytest.approx(scale**2 * found.net_area_m2)
    assert larger.timber_percent == pytest.approx(found.timber_percent, abs=1e-9)
    assert larger.bay_widths_m == pytest.approx([scale * width for width in found.bay_widths_m], abs=1e-8)


def scaled(cavity: Cavity, scale: float) -> Cavity:
    def larger(thing, *names):
        sizes = {name: getattr(thing, name) for name in names}
        return replace(thing, **{name: size * scale for name, size in sizes.items() if size is not None})

    def larger_framing(framing: Framing | None) -> Framing | None:
        return framing and larger(framing, "member_mm", "spacing_mm", "plates_mm", "blocking_mm")

    return replace(
        larger(cavity, "width_m", "span_m"),
        layers=tuple(
            replace(larger(each, "depth_mm"), framing=larger_framing(each.framing)) for each in cavity.layers
        ),
        openings=tuple(
            larger(each, "width_m", "height_m", "left_m", "sill_m", "trim_mm") for each in cavity.openings
        ),
    )


@given(framings(runs=st.just(Runs.ALONG)), st.integers(2, 12), st.integers(1, 11), st.floats(2.2, 4.0))
def test_volumes_add_up_when_a_wall_is_cut_in_two_at_a_member(framed, bays, cut, span_m):
    """Both halves keep the member at the cut, so that their widths overlap by it."""
    assume(cut < bays)
    spacing_m, member_m = framed.spacing_mm / 1000, framed.member_mm / 1000
    whole, left, right = (
        geometry(
            cavity=wall(width_m=count * spacing_m + member_m, span_m=span_m, layers=(layer(145, framed),))
        )
        for count in (bays, cut, bays - cut)
    )
    assert left.net_volume_m3 + right.net_volume_m3 == pytest.approx(whole.net_volume_m3)
    assert left.bays + right.bays == whole.bays


MORE_TIMBER = {
    "closer members": lambda framed: replace(framed, spacing_mm=framed.spacing_mm * 0.8),
    "another row of blocking": lambda framed: replace(
        framed, blocking_rows=framed.blocking_rows + 1, blocking_mm=45
    ),
    "thicker plates": lambda framed: replace(framed, plates_mm=framed.plates_mm + 45),
    "wider members": lambda framed: replace(framed, member_mm=framed.member_mm + 10),
}


@pytest.mark.parametrize("more", MORE_TIMBER.values(), ids=MORE_TIMBER)
@given(framings(runs=st.sampled_from(Runs)), st.floats(3.0, 9.0), st.lists(st.just(opening()), max_size=2))
def test_more_timber_never_leaves_more_room(more, framed, width_m, openings):
    """A wider member may save one at the edge: those are compared where as many stand."""
    less, timbered = (
        accepted(wall(width_m=width_m, layers=(layer(145, each),), openings=tuple(openings)))
        for each in (framed, more(framed))
    )
    assume(less and timbered and timbered.layers[0].members >= less.layers[0].members)
    assert timbered.net_volume_m3 < less.net_volume_m3


@given(cavities())
def test_clear_widths_and_members_make_up_the_size(cavity):
    for surveyed, found in zip(cavity.layers, geometry(cavity=cavity).layers, strict=True):
        if found.members:
            across_m = cavity.width_m if surveyed.framing.runs is Runs.ALONG else cavity.span_m
            timber_m = found.members * surveyed.framing.member_mm / 1000
            if last_members_overlap(framing=surveyed.framing, across_m=across_m):
                *_, before_m, last_m = member_starts_m(framing=surveyed.framing, across_m=across_m)
                timber_m -= max(0.0, surveyed.framing.member_mm / 1000 - (last_m - before_m))
            assert sum(found.bay_widths_m) + timber_m == pytest.approx(across_m, abs=1e-6)


@given(st.integers(1, 40), st.integers(4, 14), st.integers(10, 60), st.integers(0, 4), st.integers(0, 2))
def test_clear_area_is_what_a_count_of_squares_gives(squares, spacing, across, plates, rows):
    """Squares of 50 mm: members stand in one column each, set out from the left and at the far edge."""
    along = plates + rows + (rows + 1) * squares
    columns = {column for column in range(across) if column % spacing == 0} | {across - 1}
    timber_rows = set(range(plates // 2)) | {along - 1 - row for row in range(plates - plates // 2)}
    inner = [row for row in range(along) if row not in timber_rows]
    timber_rows |= {row for place, row in enumerate(inner) if place % (squares + 1) == squares}
    clear = (across - len(columns)) * (along - len(timber_rows))
    framed = framing(
        member_mm=50,
        spacing_mm=50 * spacing,
        plates_mm=50 * plates,
        blocking_rows=rows,
        blocking_mm=50 if rows else 0,
    )
    cavity = wall(width_m=0.05 * across, span_m=0.05 * along, layers=(layer(100, framed),))
    found = geometry(cavity=cavity)
    assert found.layers[0].net_area_m2 == pytest.approx(clear * 0.0025)
    assert found.layers[0].members == len(columns) == ceil((across - 1) / spacing) + 1


NASTY = st.one_of(
    st.floats(), st.sampled_from([0.0, -1.0, 1e308, 5e-324, 1e-300, float("inf"), float("nan")])
)


@settings(max_examples=300)
@given(st.data())
def test_any_number_is_refused_or_gives_finite_figures(data):
    def maybe(usual):
        return data.draw(st.one_of(st.just(usual), st.just(usual), NASTY))

    framed = framing(
        member_mm=maybe(45.0), spacing_mm=maybe(625.0), plates_mm=maybe(90.0), blocking_mm=maybe(0.0)
    )
    window = opening(width_m=maybe(1.2), height_m=maybe(1.2), trim_mm=maybe(45.0))
    cavity = wall(
        width_m=maybe(9.4),
        span_m=maybe(2.65),
        layers=(layer(maybe(145.0), framed), layer(maybe(120.0))),
        openings=(window,),
        displaced=displaced(maybe(0.0)),
    )
    found = accepted(cavity)
    if found:
        assert all(isfinite(value) for value in (found.gross_volume_m3, found.gross_area_m2))
        assert 0 < found.net_volume_m3 <= found.gross_volume_m3
        assert 0 <= found.timber_percent < 100
        assert all(0 < width <= cavity.width_m for width in found.bay_widths_m)
