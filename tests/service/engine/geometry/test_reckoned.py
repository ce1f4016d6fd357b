import pytest

from service.engine.geometry.plane import plane
from service.engine.geometry.reckoned import reckoned
from tests.builders import opening, stud_wall, wall


def test_a_single_bay_is_measured_between_its_members():
    third = reckoned(laid_out=plane(cavity=stud_wall()), bays=[3])
    assert (third.single, third.name, third.places) == (True, "3", {2})
    assert third.clear_width_m == pytest.approx(0.555)
    assert third.volume_m3 == pytest.approx(0.14 * 0.555 * 2.365)


def test_parts_of_one_layer_add_up():
    cavity = stud_wall()
    each = [reckoned(laid_out=plane(cavity=cavity), bays=[bay]).parts[0] for bay in range(1, 11)]
    assert sum(each) == pytest.approx(1.0)


def test_a_cavity_with_an_opening_that_has_no_place_is_known_as_a_whole_only():
    whole = reckoned(laid_out=plane(cavity=stud_wall(openings=(opening(),))), bays=[3])
    assert (whole.single, whole.name) == (False, "1-10")


def test_the_lengths_that_a_shared_wall_s_volume_goes_with():
    outer, gap, _ = reckoned(laid_out=plane(cavity=wall()), bays=range(1, 16)).lengths
    assert (outer.across_m, outer.along_m) == pytest.approx((2.56, 9.4 - 16 * 0.045))
    assert (gap.across_m, gap.along_m) == pytest.approx((2.65, 9.4))
    assert (outer.members, outer.member_length_m) == (16, pytest.approx(2.56))
