"""What was found of a cavity's sizes."""

import pytest

from service.engine.ground.vocabulary import BayState, Runs
from service.engine.site.found_sizes import (
    bay_states,
    counted_sizes,
    depth_measured,
    found_cavity,
    found_depth_mm,
)
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


def test_the_sizes_that_were_found_are_counted_and_the_others_are_the_surveys() -> None:
    errors = builders.practice().uncertainties.survey
    depth = counted_sizes(cavity=builders.wall(), found=(site.found(depth_mm=(340.0,)),), errors=errors)
    assert (depth.depth_mm, depth.member_mm) == (errors.counted.depth_mm, errors.drawn.member_mm)
    members = counted_sizes(cavity=builders.wall(), found=(site.found(member_mm=50.0),), errors=errors)
    assert (members.depth_mm, members.member_mm) == (errors.drawn.depth_mm, errors.counted.member_mm)


def test_one_layer_does_not_tell_how_deep_the_others_are_nor_a_count_how_broad_a_member_is() -> None:
    """Three layers: a reading of the gap alone leaves both leaves as they were drawn."""
    errors = builders.practice().uncertainties.survey
    gap, leaves = (
        site.found(depth_mm=(118.0,), layer=2),
        [
            site.found(depth_mm=(depth,), layer=layer, member_mm=45.0)
            for layer, depth in ((1, 145.0), (3, 95.0))
        ],
    )

    def sizes(*found):
        known = counted_sizes(cavity=builders.wall(), found=found, errors=errors)
        return known.depth_mm == errors.counted.depth_mm, known.member_mm == errors.counted.member_mm

    assert sizes(gap) == (False, False)
    assert sizes(gap, leaves[0]) == (False, False)
    assert sizes(gap, *leaves) == (True, True)
    assert sizes(site.found(members=16)) == (False, False)
    measured = [depth_measured(cavity=builders.wall(), found=each) for each in ((gap,), (gap, *leaves))]
    assert measured == [False, True]


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
