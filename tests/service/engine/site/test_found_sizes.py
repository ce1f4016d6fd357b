"""What was found of a cavity's sizes."""

from dataclasses import replace
from math import sqrt

import pytest

from service.engine.geometry.plane import plane
from service.engine.geometry.sensitivity import Depths
from service.engine.ground.vocabulary import BayState, Runs, Surveyed
from service.engine.site.as_found import as_found
from service.engine.site.found_sizes import (
    bay_states,
    counted_sizes,
    depth_measured,
    found_cavity,
    found_depth_mm,
    found_depths,
)
from service.engine.site.mass_balance import volume
from service.engine.site.planned import as_one_space
from tests import builders, site

# Three layers of 145, 120 and 95 mm.
WALL = site.planned(builders.wall())


def test_a_depth_that_nobody_measured_is_not_known() -> None:
    assert found_depth_mm(planned=WALL, found=()) is None
    assert found_depth_mm(planned=WALL, found=(site.found(member_mm=50),)) is None


def test_readings_of_the_total_depth_are_taken_together() -> None:
    found = (site.found(depth_mm=(350, 352)), site.found(depth_mm=(354,)))
    assert found_depth_mm(planned=WALL, found=found) == pytest.approx(352)


def test_a_reading_of_one_layer_changes_that_layer_alone() -> None:
    found = (site.found(depth_mm=(100, 110), layer=2),)
    assert found_depth_mm(planned=WALL, found=found) == pytest.approx(145 + 105 + 95)


ERRORS = builders.practice().uncertainties.survey
COUNTED_MM, DRAWN_MM = ERRORS.counted.depth_mm, ERRORS.drawn.depth_mm


def depths(*found, cavity=None) -> Depths:
    return found_depths(cavity=cavity or builders.wall(), found=found, errors=ERRORS)


def counted(*found) -> bool:
    known = counted_sizes(cavity=builders.wall(), found=found, errors=ERRORS)
    return known == replace(ERRORS.drawn, member_mm=ERRORS.counted.member_mm)


def test_the_sizes_that_were_found_are_counted_and_the_others_are_the_surveys() -> None:
    """A total depth is that of the gap, which takes up what the leaves leave of it."""
    assert depths(site.found(depth_mm=(340.0,))) == Depths((DRAWN_MM, COUNTED_MM, DRAWN_MM), rest=1)
    assert depths(site.found(depth_mm=(118.0,), layer=2)) == Depths((DRAWN_MM, COUNTED_MM, DRAWN_MM))
    assert depths(site.found(member_mm=50.0)) == Depths((DRAWN_MM,) * 3)
    of_survey = builders.wall(surveyed=Surveyed.COUNTED)
    assert depths(cavity=of_survey) == Depths((COUNTED_MM,) * 3)


def test_the_members_of_one_leaf_do_not_tell_the_other_s_breadth_nor_does_a_count() -> None:
    leaves = [site.found(member_mm=45.0, layer=layer) for layer in (1, 3)]
    assert counted(site.found(member_mm=50.0))
    assert counted(*leaves)
    assert not counted(leaves[0])
    assert not counted(site.found(members=16))


def test_only_the_whole_depth_or_every_layer_s_is_a_depth_that_was_measured() -> None:
    gap = site.found(depth_mm=(118.0,), layer=2)
    leaves = [site.found(depth_mm=(depth,), layer=layer) for layer, depth in ((1, 145.0), (3, 95.0))]
    told = ((gap,), (gap, *leaves), (site.found(depth_mm=(358.0,)),), ())
    measured = [depth_measured(cavity=builders.wall(), found=each) for each in told]
    assert measured == [False, True, True, False]


def test_readings_that_scatter_err_as_they_show() -> None:
    """330 to 390 mm, five readings: s = 23.717, t(95.45 %, 4) = 2.869 by a table of Student's t."""
    scattered = (330.0, 345.0, 360.0, 375.0, 390.0)
    (_, half_mm, _), _ = depths(site.found(depth_mm=scattered))
    assert half_mm / sqrt(3) == pytest.approx(2.869 / 2 * 23.717 / sqrt(5), rel=1e-3)
    even = (359.0, 360.0, 360.0, 361.0, 360.0)
    few = (330.0, 360.0, 390.0)
    for readings in (even, few):
        assert depths(site.found(depth_mm=readings)).halves_mm[1] == COUNTED_MM


def test_a_measured_whole_errs_as_the_whole_however_its_layers_were_drawn() -> None:
    """Leaves drawn 5 mm too thin take from the gap what they add: by hand, of areas 0.928 and 1 of the wall.

    Simulated beside it: depths drawn within 5 mm and a ruler off by 3 mm are 1.8 times as wide as need be
    where each layer errs by itself.
    """
    found = as_found(
        planned=WALL,
        found=(site.found(depth_mm=(360.0,)),),
        material=builders.material(),
        practice=builders.practice(),
    )
    net = volume(
        planned=found,
        space=as_one_space(planned=found),
        laid_out=plane(cavity=found.cavity),
        practice=builders.practice(),
    )
    by_layer = {share.of: share.u for share in net.shares if share.name == "depth"}
    leaf_m2, gap_m2 = (layer.net_area_m2 for layer in found.geometry.layers[:2])
    assert by_layer["depth 1"] == pytest.approx(gap_m2 * 0.003 / sqrt(3))
    for leaf in ("depth 0", "depth 2"):
        assert by_layer[leaf] == pytest.approx((leaf_m2 - gap_m2) * 0.005 / sqrt(3))


def test_what_was_corrected_does_not_count() -> None:
    full, filled = site.found(bay=1, state=BayState.FULL), site.found(minute=5, bay=1, state=BayState.ABSENT)
    assert bay_states(found=(full, filled)) == {1: BayState.ABSENT}


def test_members_that_were_counted_are_those_between_the_bays() -> None:
    """Twelve rafters were counted: the battens across them stand as drawn, unless they are named."""
    rafters, battens = builders.framing(), builders.framing(spacing_mm=400, runs=Runs.ACROSS, plates_mm=0)
    slope = site.planned(builders.wall(layers=(builders.layer(60, battens), builders.layer(200, rafters))))
    crossing, along = found_cavity(planned=slope, found=(site.found(members=12, member_mm=50),)).layers
    assert (along.framing.members, along.framing.member_mm, along.framing.spacing_mm) == (12, 50, None)
    assert crossing.framing == battens
    (crossing, along) = found_cavity(planned=slope, found=(site.found(members=8, layer=1),)).layers
    assert (crossing.framing.members, along.framing) == (8, rafters)
    across = site.planned(builders.wall(layers=(builders.layer(60, battens),)))
    assert found_cavity(planned=across, found=(site.found(members=8),)).layers[0].framing.members == 8
