"""Shares are held against the geometry itself, surveyed again with each input a little larger."""

from dataclasses import replace
from math import hypot, sqrt

import pytest

from service.engine.geometry.compartments import compartments
from service.engine.geometry.geometry import geometry
from service.engine.geometry.plane import plane
from service.engine.geometry.sensitivity import volume_shares
from service.engine.ground.uncertainty import rectangular
from service.engine.ground.vocabulary import Runs, Surveyed
from service.engine.survey.uncertainties import SURVEY
from tests.builders import displaced, floor, fraction, framing, layer, opening, stud_wall, wall

WINDOW = opening(left_m=2.1, sill_m=0.9, trim_mm=45)
DRAWN = SURVEY.drawn


def shares(cavity, bays=None, **sizes):
    bays = bays or range(1, geometry(cavity=cavity).bays + 1)
    return volume_shares(laid_out=plane(cavity=cavity), bays=bays, errors=SURVEY, **sizes)


def named(cavity, bays=None, **sizes):
    return {share.of: share.u for share in shares(cavity, bays, **sizes)}


def net_m3(cavity, bays=None):
    return sum(
        each.net_volume_m3
        for each in compartments(cavity=cavity)
        if bays is None or set(each.bays) <= set(bays)
    )


def by_difference(cavity, change, half_mm, bays=None):
    """What a size half a millimetre larger and smaller does to the volume, at its half-width."""
    step_m = 0.0005
    larger, smaller = (net_m3(change(cavity, sign * step_m), bays) for sign in (1, -1))
    return rectangular(half=half_mm / 1000) * (larger - smaller) / (2 * step_m)


def framed(cavity, **more):
    return replace(
        cavity,
        layers=tuple(
            replace(each, framing=each.framing and replace(each.framing, **more)) for each in cavity.layers
        ),
    )


def deeper(place):
    def change(cavity, step_m):
        layers = list(cavity.layers)
        layers[place] = replace(layers[place], depth_mm=layers[place].depth_mm + 1000 * step_m)
        return replace(cavity, layers=tuple(layers))

    return change


def wider(cavity, step_m):
    return replace(cavity, width_m=cavity.width_m + step_m)


def longer(cavity, step_m):
    return replace(cavity, span_m=cavity.span_m + step_m)


def broader(cavity, step_m):
    return framed(cavity, member_mm=cavity.layers[0].framing.member_mm + 1000 * step_m)


def plated(cavity, step_m):
    return framed(cavity, plates_mm=cavity.layers[0].framing.plates_mm + 1000 * step_m)


def opened(**changes):
    def change(cavity, step_m):
        window = cavity.openings[0]
        larger = {name: getattr(window, name) + step_m for name in changes}
        return replace(cavity, openings=(replace(window, **larger),))

    return change


PLACED = stud_wall(openings=(WINDOW,))
UNPLACED = wall(openings=(opening(trim_mm=45),))


@pytest.mark.parametrize(
    ("cavity", "of", "change", "half_mm"),
    [
        (wall(), "depth 0", deeper(0), DRAWN.depth_mm),
        (wall(), "depth 1", deeper(1), DRAWN.depth_mm),
        (wall(openings=(WINDOW,)), "depth 2", deeper(2), DRAWN.depth_mm),
        (wall(), "width 1-15", wider, DRAWN.width_mm),
        (wall(), "length", longer, DRAWN.span_mm),
        (PLACED, "length", longer, DRAWN.span_mm),
        (PLACED, "openings 0 width", opened(width_m=1), DRAWN.opening_mm),
        (PLACED, "openings 0 height", opened(height_m=1), DRAWN.opening_mm),
        (UNPLACED, "openings 0 width", opened(width_m=1), DRAWN.opening_mm),
        (UNPLACED, "openings 0 height", opened(height_m=1), DRAWN.opening_mm),
    ],
)
def test_a_share_is_what_the_geometry_itself_does(cavity, of, change, half_mm):
    assert named(cavity)[of] == pytest.approx(by_difference(cavity, change, half_mm), rel=0.02)


@pytest.mark.parametrize(("kind", "change"), [("member breadth", broader), ("plates", plated)])
def test_the_shares_of_leaves_add_up_to_what_a_change_of_all_of_them_does(kind, change):
    cavity = wall(width_m=9.3)
    both = sum(share.u for share in shares(cavity) if share.name == kind)
    assert both == pytest.approx(by_difference(cavity, change, DRAWN.member_mm), rel=0.02)


def test_of_a_single_bay_its_clear_width_counts_and_no_member():
    """0.58 x 2.365 x 0.14 m: each side by hand."""
    found = named(stud_wall(width_m=6.295, layers=(layer(140, framing(plates_mm=135)),)), bays=[3])
    assert found == pytest.approx(
        {
            "depth 0": 0.58 * 2.365 * 0.005 / sqrt(3),
            "width 3": 2.365 * 0.14 * 0.010 / sqrt(3),
            "length": 0.58 * 0.14 * 0.010 / sqrt(3),
            "plates 0": -0.58 * 0.14 * 0.002 / sqrt(3),
        }
    )


@pytest.mark.parametrize(("height_m", "bay"), [(1.2, 4), (2.0, 4), (1.2, 3)])
def test_a_bay_that_an_opening_shortens_is_as_broad_as_others(height_m, bay):
    """Of a wall that is a millimetre higher the room over a window is: by the geometry surveyed again."""
    window = opening(left_m=1.845, sill_m=0.0, width_m=1.11, height_m=height_m, trim_mm=45)
    cavity = stud_wall(openings=(window,))
    expected = by_difference(cavity, longer, DRAWN.span_mm, bays=[bay])
    assert named(cavity, bays=[bay])["length"] == pytest.approx(expected, rel=1e-6)


def test_a_bay_under_a_gable_gains_its_breadth():
    """1 to 4 m high: bay 1 is as broad as bay 5, and gains as much where all is a little higher."""
    gable = stud_wall(span_m=4.0, profile_m=((0.0, 1.0), (3.0, 4.0), (6.0, 1.0)))
    found = [named(gable, bays=[bay])["length"] for bay in (1, 5)]
    assert found == pytest.approx([0.14 * 0.555 * 0.010 / sqrt(3)] * 2)


def test_an_open_layer_that_is_divided_gains_from_divider_to_divider():
    """Bay 2 of studs at 625 mm: 0.58 m between them, 0.625 m from divider to divider."""
    divided = wall(dividers=True)
    expected = (0.240 * 0.58 + 0.120 * 0.625) * 0.010 / sqrt(3)
    assert named(divided, bays=[2])["length"] == pytest.approx(expected)


def test_the_worked_bay():
    """2.400 x 0.560 x 0.300 m between two members, counted: 0.4032 m3."""
    bay = stud_wall(
        width_m=0.65,
        span_m=2.4,
        surveyed=Surveyed.COUNTED,
        layers=(layer(300, framing(spacing_mm=605, plates_mm=0)),),
    )
    relative = {name: u / 0.4032 for name, u in named(bay).items()}
    assert relative == pytest.approx(
        {"depth 0": 0.003 / 0.3 / sqrt(3), "width 1": 0.002 / 0.56 / sqrt(3), "length": 0.003 / 2.4 / sqrt(3)}
    )


def test_a_drawing_may_have_a_member_too_few_and_a_count_may_not():
    one_m2 = 0.045 * 2.56
    assert named(wall())["members along"] == pytest.approx(-0.24 * one_m2 / sqrt(3))
    apart = named(wall(leaves_aligned=False))
    assert apart["members 0"] == pytest.approx(-0.145 * one_m2 / sqrt(3))
    counted = framed(wall(), spacing_mm=None, members=16)
    for each in (wall(surveyed=Surveyed.COUNTED), counted):
        assert not any(share.name == "members" for share in shares(each))


def test_sizes_found_later_take_the_place_of_the_survey_s():
    taken = named(wall(), sizes=replace(DRAWN, depth_mm=3.0))
    assert taken["depth 1"] == pytest.approx(0.6 * named(wall())["depth 1"])


def test_a_timber_fraction_has_its_own_uncertainty_or_the_firm_s():
    known = stud_wall(layers=(layer(140, fraction(0.15)),))
    unknown = stud_wall(layers=(layer(140, fraction(0.15, timber_fraction_u=None)),))
    assert named(known)["timber fraction 0"] == pytest.approx(-0.14 * 15 * 0.02)
    assert named(unknown)["timber fraction 0"] == pytest.approx(-0.14 * 15 * SURVEY.timber_fraction_u)


def test_an_opening_without_a_place_cuts_a_member_more_or_less():
    """By engine rule: a member over the opening's height; leaves that are opposite together."""
    found = named(UNPLACED)
    assert found["unplaced openings 0"] == pytest.approx(0.045 * 1.2 * 0.24 / sqrt(3))
    apart = named(replace(UNPLACED, leaves_aligned=False))
    assert apart["unplaced openings 0 0"] == pytest.approx(0.045 * 1.2 * 0.145 / sqrt(3))
    assert apart["unplaced openings 0 2"] == pytest.approx(0.045 * 1.2 * 0.095 / sqrt(3))
    four = wall(openings=(opening(trim_mm=45, count=4),))
    assert named(four)["unplaced openings 0"] == pytest.approx(2 * found["unplaced openings 0"])


def test_what_is_displaced_in_a_known_bay_errs_there_alone():
    piped = stud_wall(displaced=displaced(0.02, bay=3, u_m3=0.006))
    assert named(piped, bays=[3])["displaced 0"] == pytest.approx(-0.006 / sqrt(3))
    assert "displaced 0" not in named(piped, bays=[2])


def test_what_is_displaced_anywhere_may_lie_in_any_bay_and_is_there_once():
    """Ten bays, nine of them alike: the half-width of each is all of it; in the sum it cancels."""
    piped = stud_wall(displaced=displaced(0.02))
    one = [u for of, u in named(piped, bays=[2]).items() if of.startswith("displaced 0 in")]
    assert hypot(*one) == pytest.approx(0.02 / sqrt(3), rel=0.01)
    whole = [u for of, u in named(piped).items() if of.startswith("displaced")]
    assert whole == pytest.approx([-0.02 * SURVEY.displaced_rel_half / sqrt(3)])
    each = [named(piped, bays=[bay]) for bay in range(1, 11)]
    for of in {of for found in each for of in found if of.startswith("displaced 0 in")}:
        assert sum(found.get(of, 0.0) for found in each) == pytest.approx(0, abs=1e-12)


def test_members_across_exchange_width_and_span():
    along = floor(openings=(opening(width_m=0.8, height_m=1.1, left_m=0.5, sill_m=1.0, trim_mm=50),))
    joists = replace(along.layers[0].framing, runs=Runs.ACROSS)
    across = floor(
        width_m=along.span_m,
        span_m=along.width_m,
        layers=(layer(220, joists),),
        openings=(opening(width_m=1.1, height_m=0.8, left_m=1.0, sill_m=0.5, trim_mm=50),),
    )
    one, other = named(along), named(across)
    assert other["openings 0 height"] == pytest.approx(one["openings 0 width"])
    assert other["openings 0 width"] == pytest.approx(one["openings 0 height"])
    assert other["depth 0"] == pytest.approx(one["depth 0"])
    assert other["members along"] == pytest.approx(one["members along"])


def test_the_width_of_a_gable_goes_with_its_mean_height():
    gable = wall(span_m=4.0, profile_m=((0.0, 2.0), (4.7, 4.0), (9.4, 2.0)), layers=(layer(200),))
    assert named(gable)["width 1-1"] == pytest.approx(0.2 * 3.0 * 0.010 / sqrt(3))
