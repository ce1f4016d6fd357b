"""Vapour pressure against PsychroLib (ASHRAE) and a published table."""

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.moisture.vapour import dew_point_c, saturation_pa, vapour_pa

psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize("temperature_c", range(0, 31))
def test_saturation_over_water_agrees_with_psychrolib(temperature_c):
    assert saturation_pa(temperature_c=temperature_c) == pytest.approx(
        psychrolib.GetSatVapPres(temperature_c), rel=0.002
    )


@pytest.mark.parametrize("temperature_c", range(-20, 0))
def test_saturation_over_ice_agrees_with_psychrolib(temperature_c):
    assert saturation_pa(temperature_c=temperature_c) == pytest.approx(
        psychrolib.GetSatVapPres(temperature_c), rel=0.006
    )


@pytest.mark.parametrize("temperature_c", [*range(-40, -20), *range(31, 51)])
def test_saturation_at_the_ends_of_the_range_is_within_two_percent(temperature_c):
    assert saturation_pa(temperature_c=temperature_c) == pytest.approx(
        psychrolib.GetSatVapPres(temperature_c), rel=0.02
    )


@pytest.mark.parametrize(
    ("temperature_c", "pressure_pa"),
    [(30, 4243), (26, 3361), (24, 2984), (20, 2340), (19, 2199), (17, 1940)],
)
def test_saturation_agrees_with_a_published_table(temperature_c, pressure_pa):
    # Table of German building practice (288.68 (1.0981 + t/100)^8.02), read second-hand on a public page.
    assert saturation_pa(temperature_c=temperature_c) == pytest.approx(pressure_pa, rel=0.002)


@pytest.mark.parametrize("rh_percent", [20, 50, 80, 100])
@pytest.mark.parametrize("temperature_c", [5, 10, 20, 30])
def test_dew_point_agrees_with_psychrolib(temperature_c, rh_percent):
    pressure = vapour_pa(temperature_c=temperature_c, rh_percent=rh_percent)

    found = dew_point_c(pressure_pa=pressure)

    expected = psychrolib.GetTDewPointFromRelHum(temperature_c, rh_percent / 100)
    assert found == pytest.approx(expected, abs=0.05)


def test_dew_point_of_ordinary_indoor_air():
    # 20 C and 50 %: CoolProp (IAPWS) gives 9.2744 C, PsychroLib 9.2724 C.
    pressure = vapour_pa(temperature_c=20, rh_percent=50)

    assert dew_point_c(pressure_pa=pressure) == pytest.approx(9.2690, abs=5e-5)


@given(st.floats(-40, 50))
def test_dew_point_is_the_inverse_of_saturation(temperature_c):
    assert dew_point_c(pressure_pa=saturation_pa(temperature_c=temperature_c)) == pytest.approx(
        temperature_c, abs=1e-9
    )


@given(st.floats(-40, 50), st.floats(0.01, 5))
def test_warmer_air_holds_more_vapour(temperature_c, rise):
    assert saturation_pa(temperature_c=temperature_c + rise) > saturation_pa(temperature_c=temperature_c)
