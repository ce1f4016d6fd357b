from math import sqrt

import pytest

from service.engine.geometry.compartments import parts
from service.engine.geometry.plane import plane
from service.engine.ground.vocabulary import Facing, Surveyed
from service.engine.plan.volume import Bulge, bulge_volume, net_volume, unsaid_bulge
from tests import builders


def net(cavity, **fields):
    survey = builders.practice().uncertainties.survey
    return net_volume(
        laid_out=plane(cavity=cavity), bays=range(1, 16), net_volume_m3=8.322192, errors=survey, **fields
    )


def test_what_was_counted_is_known_better_than_what_was_drawn() -> None:
    drawn = net(builders.wall())
    counted = net(builders.wall(surveyed=Surveyed.COUNTED))
    assert drawn.value == counted.value == 8.322192
    assert counted.u < drawn.u


def test_sizes_found_on_site_go_before_the_survey() -> None:
    counted = builders.practice().uncertainties.survey.counted
    assert net(builders.wall(), sizes=counted).u < net(builders.wall()).u


@pytest.mark.parametrize(("held", "factor"), [("on four sides", 4 / 9), ("a long bay", 2 / 3)])
def test_a_bulge_lies_between_what_parabolas_give(held: str, factor: float) -> None:
    """Five ninths within one ninth: both ends of what a facing can do, by Simpson's rule over both ways."""
    cavity = builders.stud_wall()
    found = bulge_volume(
        cavity=cavity,
        bays=(1,),
        bulge=Bulge(bulge_mm=20, half_mm=0, measured=True),
        parts=parts(cavity=cavity),
    )
    box_m3 = 0.02 * 0.555 * 2.365
    assert abs(found.value - factor * box_m3) == pytest.approx(box_m3 / 9), held
    assert found.u == pytest.approx(box_m3 / 9 / sqrt(3))


def test_what_nobody_measured_is_half_of_what_is_allowed_within_as_much() -> None:
    firm = builders.practice()
    netting = unsaid_bulge(cavity=builders.wall(facing=Facing.NETTING), practice=firm)
    assert netting == Bulge(bulge_mm=10, half_mm=10, measured=False)
    assert unsaid_bulge(cavity=builders.wall(), practice=firm).half_mm == 0
