"""Corrections of the U-value for air gaps and fasteners."""

import pytest

from service.engine.heat.corrections import correction_w_m2k
from service.engine.survey.cavity import Fasteners
from service.errors import InvalidInput
from tests.builders import layer, stud_wall


def correction(plain_u=0.25, r_fill=3.6, others=0.4, **fields):
    cavity = stud_wall(layers=(layer(144),), **fields)
    return correction_w_m2k(cavity=cavity, r_fill=r_fill, others=others, plain_u=plain_u)


# ISO 6946, annex F: 0, 0.01 or 0.04 W/(m2K) for levels 0, 1 and 2, times (3.6/4.0)^2 = 0.81, and 0.8 for
# fasteners; read second-hand in the source of a public library of building physics.
@pytest.mark.parametrize(("level", "expected"), [(0, 0), (1, 0.0081), (2, 0.0324)])
def test_air_gaps_by_level(level, expected):
    assert correction(air_gap_level=level) == pytest.approx(expected)


def test_fasteners_through_the_fill():
    # 0.8 x 50 x 20e-6 x 4/0.144 x 0.81 = 0.018 W/(m2K), worked out by hand.
    screws = Fasteners(conductivity_w_mk=50, area_mm2=20, per_m2=4)

    assert correction(fasteners=screws) == pytest.approx(0.018)


def test_gaps_and_fasteners_add_up():
    screws = Fasteners(conductivity_w_mk=50, area_mm2=20, per_m2=4)

    assert correction(fasteners=screws, air_gap_level=1) == pytest.approx(0.0261)


def test_below_three_percent_of_the_u_value_it_is_left_out():
    # Three percent, as u-value guidance quotes the standard (second-hand): 0.0081/0.27 = 3 %.
    assert correction(air_gap_level=1, plain_u=0.2699) == pytest.approx(0.0081)
    assert correction(air_gap_level=1, plain_u=0.2701) == 0


@pytest.mark.parametrize(
    ("fields", "pointer"),
    [
        ({"air_gap_level": 3}, "/air_gap_level"),
        ({"air_gap_level": -1}, "/air_gap_level"),
        ({"fasteners": Fasteners(conductivity_w_mk=50, area_mm2=-1, per_m2=4)}, "/fasteners/area_mm2"),
        ({"fasteners": Fasteners(conductivity_w_mk=50, area_mm2=1, per_m2=-4)}, "/fasteners/per_m2"),
        (
            {"fasteners": Fasteners(conductivity_w_mk=-1, area_mm2=1, per_m2=4)},
            "/fasteners/conductivity_w_mk",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_field(fields, pointer):
    with pytest.raises(InvalidInput) as caught:
        correction(**fields)

    assert [fault.pointer for fault in caught.value.faults] == [pointer]
