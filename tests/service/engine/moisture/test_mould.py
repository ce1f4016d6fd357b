"""The inside surface against mould."""

from dataclasses import replace

import pytest

from service.engine.moisture.mould import factor_needed, surface_check
from tests.builders import board, climate, layer, month, stud_wall

# Minimum factors for Poznan at 20 C and 50 % inside, worked out by others after PN-EN ISO 13788: a
# demonstration project's humidity report in a public repository (second-hand). Its temperatures and factors
# are printed to 0.1 C and 0.001.
POZNAN = {1: 0.628, 2: 0.661, 3: 0.573, 4: 0.372, 5: -0.048, 9: -0.138, 10: 0.432, 11: 0.586, 12: 0.634}


@pytest.mark.parametrize(("number", "factor"), POZNAN.items())
def test_factor_needed_in_each_month_of_a_polish_year(number, factor):
    assert factor_needed(month=climate().months[number - 1]) == pytest.approx(factor, abs=0.01)


def test_the_worst_month_of_that_year():
    found = surface_check(cavity=stud_wall(), conductivity_w_mk=0.039, climate=climate())

    assert found.critical_month == 2
    assert found.f_rsi_needed == pytest.approx(0.661, abs=0.003)


def test_factor_needed_in_humidity_class_3():
    # The same report for humidity class 3, its critical month December: 561 + 1.1 x 810 Pa inside, 0.800.
    inside_rh_percent = 100 * (561 + 1.1 * 810) / 2336.95
    december = month(inside_rh_percent=inside_rh_percent, outside_c=-0.1)

    assert factor_needed(month=december) == pytest.approx(0.800, abs=0.001)


def test_the_surface_that_a_heated_room_needs():
    # 20 C and 50 %: 12.6 C, the figure of DIN 4108-2 (from memory).
    room = replace(climate(), months=(month(),) * 12)

    found = surface_check(cavity=stud_wall(), conductivity_w_mk=0.039, climate=room)

    assert found.surface_needed_c == pytest.approx(12.6, abs=0.05)
    assert found.f_rsi_needed == pytest.approx((found.surface_needed_c + 5) / 25)


def test_factor_of_the_coldest_path_goes_through_the_timber():
    # 0.04 + 0.015/0.13 + 0.140/0.13 + 0.0125/0.25 = 1.282308 to the inside surface; 1 - 0.25/1.532308.
    cavity = stud_wall(outside=(board(),), inside=(board(thickness_mm=12.5, conductivity_w_mk=0.25),))

    found = surface_check(cavity=cavity, conductivity_w_mk=0.039, climate=climate())

    assert found.f_rsi == pytest.approx(0.836847, abs=5e-7)
    assert not found.mould


def test_the_coldest_path_goes_through_battens_beside_the_cavity_too():
    # A service layer of 50 mm, wool 0.04 between battens 0.13: they meet the studs somewhere, and there
    # the path is 0.04 + 0.050/0.13 + 0.140/0.13 = 1.501538; 1 - 0.25/1.751538 (own arithmetic). An air
    # layer of 0.18 lets more heat pass than its battens do: 0.04 + 0.140/0.13 + 0.18 = 1.296923.
    service = board(thickness_mm=50, conductivity_w_mk=0.04, timber_fraction=0.1)
    air = board(thickness_mm=50, conductivity_w_mk=None, resistance_m2k_w=0.18, timber_fraction=0.1)

    insulated, hollow = (
        surface_check(cavity=stud_wall(inside=(each,)), conductivity_w_mk=0.039, climate=climate())
        for each in (service, air)
    )

    assert insulated.f_rsi == pytest.approx(0.857268, abs=5e-7)
    assert hollow.f_rsi == pytest.approx(1 - 0.25 / 1.546923)


def test_without_timber_the_path_is_the_fill():
    found = surface_check(cavity=stud_wall(layers=(layer(140),)), conductivity_w_mk=0.04, climate=climate())

    assert found.f_rsi == pytest.approx(1 - 0.25 / (0.04 + 3.5 + 0.25))


def test_a_surface_that_is_too_cold_is_said_so():
    bare = stud_wall(layers=(layer(10),))

    found = surface_check(cavity=bare, conductivity_w_mk=0.04, climate=climate())

    assert found.f_rsi < found.f_rsi_needed
    assert found.mould


def test_a_year_that_is_never_warmer_inside_needs_nothing():
    summer = climate(months=(month(inside_c=22, outside_c=22),) * 12)

    found = surface_check(cavity=stud_wall(), conductivity_w_mk=0.039, climate=summer)

    assert (found.f_rsi_needed, found.surface_needed_c, found.critical_month) == (None, None, None)
    assert not found.mould


def test_of_equal_months_the_first_is_critical():
    found = surface_check(
        cavity=stud_wall(), conductivity_w_mk=0.039, climate=replace(climate(), months=(month(),) * 12)
    )

    assert found.critical_month == 1
