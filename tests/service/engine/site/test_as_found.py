"""A cavity as it was found."""

import pytest

from service.engine.site.as_found import found_depth_mm
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
