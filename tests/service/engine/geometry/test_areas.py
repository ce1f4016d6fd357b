"""Areas left for fill, against rectangles worked out by hand."""

import pytest

from service.engine.geometry.areas import (
    across_and_along_m,
    between_plates_height_m,
    between_plates_m2,
    face_m2,
    insulated_area_m2,
    layer_area,
)
from service.engine.ground.vocabulary import Runs
from tests.builders import fraction, framing, layer, opening, stud_wall, wall

GABLE = ((0.0, 2.6), (4.5, 5.4), (9.0, 2.6))
PLACED = {"left_m": 2.0, "sill_m": 0.9}


def test_a_face_is_a_rectangle_or_lies_under_its_edge() -> None:
    """The gable: 9 m by 2.6 m, and a triangle of 9 m by 2.8 m on it: 23.4 and 12.6 m2."""
    assert face_m2(cavity=wall()) == pytest.approx(9.4 * 2.65)
    assert face_m2(cavity=wall(width_m=9.0, span_m=5.4, profile_m=GABLE)) == pytest.approx(36.0)


def test_openings_are_insulated_with_nothing() -> None:
    two = wall(openings=(opening(count=2), opening(**PLACED)))
    assert insulated_area_m2(cavity=two) == pytest.approx(9.4 * 2.65 - 3 * 1.44)


def test_an_open_layer_loses_what_has_no_place_with_the_boards_round_it() -> None:
    """A window of 1.2 m square in boards of 20 mm takes 1.24 m square; a placed one is cut out before."""
    face = 9.4 * 2.65
    found = layer_area(
        cavity=wall(openings=(opening(reveal_mm=20, trim_mm=45),)), layer=layer(120), clear_m2=face
    )
    assert (found.net_m2, found.unplaced_m2) == pytest.approx((face - 1.24**2, 1.24**2))
    placed = wall(openings=(opening(reveal_mm=20, **PLACED),))
    assert layer_area(cavity=placed, layer=layer(120), clear_m2=20.0).net_m2 == 20.0


def test_a_framed_layer_loses_its_share_between_the_plates() -> None:
    """Of 9.4 m x 2.56 m between plates, a window with 45 mm of trim takes 1.29 m square."""
    between = 9.4 * 2.56
    found = layer_area(
        cavity=wall(openings=(opening(trim_mm=45),)), layer=layer(145, framing()), clear_m2=20.0
    )
    assert found.between_plates_m2 == pytest.approx(between)
    assert found.unplaced_m2 == pytest.approx(1.29**2)
    assert found.net_m2 == pytest.approx(20.0 * (1 - 1.29**2 / between))
    assert layer_area(cavity=wall(), layer=layer(145, framing()), clear_m2=20.0).net_m2 == 20.0


def test_a_timber_fraction_is_of_the_area_less_openings_apart_from_trim() -> None:
    """15 m2 less 1.44 m2; the trim round the window is 1.26 m square less 1.2 m square, 0.1476 m2."""
    cavity = stud_wall(layers=(layer(140, fraction(0.15)),), openings=(opening(trim_mm=30),))
    found = layer_area(cavity=cavity, layer=cavity.layers[0], clear_m2=15.0)
    assert found.trim_m2 == pytest.approx(0.1476)
    assert found.net_m2 == pytest.approx(13.56 * 0.85 - 0.1476)


@pytest.mark.parametrize(("runs", "sizes"), [(Runs.ALONG, (9.4, 2.65)), (Runs.ACROSS, (2.65, 9.4))])
def test_members_stand_along_or_across(runs: Runs, sizes: tuple[float, float]) -> None:
    assert across_and_along_m(cavity=wall(), framing=framing(runs=runs)) == sizes


def test_plates_lie_at_the_ends_of_the_members() -> None:
    window = opening(trim_mm=45, **PLACED)
    upright, lying = (framing(runs=runs) for runs in (Runs.ALONG, Runs.ACROSS))
    assert between_plates_m2(cavity=wall(), framing=lying) == pytest.approx((9.4 - 0.09) * 2.65)
    cut = between_plates_m2(cavity=wall(openings=(window,)), framing=upright)
    assert cut == pytest.approx(9.4 * 2.56 - 1.29**2)


@pytest.mark.parametrize(
    ("sill_m", "height_m", "between_m"),
    [
        (0.9, 1.2, 1.2),  # touches no plate
        (0.0, 2.1, 2.055),  # a door stands on the lower one
        (0.0, 2.65, 2.56),  # from edge to edge
        (None, 1.2, 1.2),  # of unknown sill: taken to touch none
        (None, 2.65, 2.56),
    ],
)
def test_the_height_between_the_plates(sill_m: float | None, height_m: float, between_m: float) -> None:
    each = opening(height_m=height_m, sill_m=sill_m)
    found = between_plates_height_m(cavity=wall(), opening=each, framing=framing(), past_m=0.0)
    assert found == pytest.approx(between_m)
    whole = between_plates_height_m(cavity=wall(), opening=each, framing=None, past_m=0.0)
    assert whole == pytest.approx(height_m)
