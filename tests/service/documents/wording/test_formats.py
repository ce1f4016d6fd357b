"""Figures in the units of each market.

Factors: NIST Special Publication 811 (2008), appendix B.8 and B.9, from memory.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.documents.wording import formats
from service.documents.wording.formats import DENSITY, DEPTH, Figure, Units

EU, US = Units("eu"), Units("us")
LEVELS = (0.05, 0.95)


@pytest.mark.parametrize(
    ("kind", "si_per_us"),
    [
        (formats.AREA, 9.290304e-2),
        (formats.VOLUME, 2.831685e-2),
        (formats.LENGTH, 3.048e-1),
        (formats.DEPTH, 25.4),
        (formats.MASS, 4.535924e-1),
        (formats.DENSITY, 1.601846e1),
        (formats.LOADING, 4.882428),
        (formats.RESISTANCE, 1.761102e-1),
        (formats.TRANSMITTANCE, 5.678263),
        (formats.CONDUCTIVITY, 1.442279e-1),
    ],
)
def test_us_customary_units(kind: formats.Kind, si_per_us: float) -> None:
    assert 1 / kind.us_per_unit == pytest.approx(si_per_us, rel=5e-7)


def test_eu_prints_si_alone() -> None:
    assert EU.density(60.04) == Figure("60.0", "kg/m³")
    assert EU.depth(360) == Figure("360", "mm")
    assert EU.mass(1234.56) == Figure("1\u202f234.6", "kg")


def test_us_prints_customary_units() -> None:
    # 3.5 lb/ft3 is 56.06 kg/m3 (trade.md 1.1, NREL SWS 4.1005.6); 14 in are 355.6 mm.
    assert US.density(56.0646) == Figure("3.50", "lb/ft³")
    assert US.depth(355.6) == Figure("14.0", "in")
    assert US.mass(1000) == Figure("2,205", "lb")
    assert US.range(50, 70) == Figure("3.12–4.37", "lb/ft³")


def test_a_value_and_its_uncertainty_end_at_the_same_digit() -> None:
    # JCGM 100, 7.2.6: both to the same digit. Never finer than the kind is printed, save where it would be 0.
    assert EU.uncertain(DENSITY, 55.803571, 0.746).number == "55.8 ± 0.7"
    assert EU.uncertain(DENSITY, 2448.35, 21.5).number == "2\u202f448 ± 22"
    assert EU.uncertain(DENSITY, 100.02147, 0.00070).number == "100.0215 ± 0.0007"
    assert EU.uncertain(DENSITY, 5.0, 0.0).number == "5.0 ± 0.0"


def test_negative_numbers_have_a_real_minus() -> None:
    assert EU.number(-86.46, 2) == "−86.46"


def test_money_keeps_the_decimals_that_it_came_with() -> None:
    assert EU.money("5289.31", "EUR") == "5\u202f289.31 EUR"
    assert US.money("5289.30", "USD") == "5,289.30 USD"
    assert EU.money("1200", "JPY") == "1\u202f200 JPY"
    assert EU.decimal("0.10000000000000000001") == "0.10000000000000000001"


@pytest.mark.parametrize(
    ("p", "printed"),
    [(1.0, ">\u00a099.9"), (0.9991, ">\u00a099.9"), (0.98438, "98.4"), (0.95, "95"), (0.0, "<\u00a00.1")],
)
def test_a_probability_never_reads_as_certainty(p: float, printed: str) -> None:
    assert EU.probability(p, LEVELS) == printed


@pytest.mark.parametrize(
    ("p", "printed"),
    [(0.9499, "94.9"), (0.95, "95"), (0.0501, "5.1"), (0.05, "5"), (0.0499, "5"), (0.5, "50")],
)
def test_what_is_undecided_is_never_printed_as_decided(p: float, printed: str) -> None:
    assert EU.probability(p, LEVELS) == printed


@pytest.mark.parametrize(
    ("density", "eu", "us"),
    [(54.97, "54.9", "3.42"), (55.0, "55.0", "3.43"), (70.0, "70.0", "4.37"), (70.01, "70.1", "4.38")],
)
def test_what_lies_outside_a_window_is_never_printed_inside(density: float, eu: str, us: str) -> None:
    assert EU.outside(DENSITY, density, (55.0, 70.0)).number == eu
    assert US.outside(DENSITY, density, (55.0, 70.0)).number == us


def test_what_was_read_has_the_places_that_were_given() -> None:
    assert [EU.read(value) for value in (14.0, 20.04, 1e-05)] == ["14.0", "20.04", "0.00001"]


def test_sheets_are_finer_than_depths() -> None:
    assert [str(EU.thickness(mm)) for mm in (15, 12.5)] == ["15 mm", "12.5 mm"]
    assert str(US.thickness(12.7)) == "0.50 in"


def test_days_and_moments() -> None:
    assert formats.day("2026-12-02").isoformat() == "2026-12-02"
    assert formats.moment("2026-11-24T15:02:00Z").isoformat() == "2026-11-24T15:02:00+00:00"


def test_what_has_to_be_reached_is_rounded_up() -> None:
    # 13.6 in are 345.44 mm: shown as 345 mm, or 345.5 mm as 13.6 in, the reader would blow too little.
    eu, us = Units("eu"), Units("us")
    assert eu.least(DEPTH, 345.44).number == "346"
    assert us.least(DEPTH, 345.5).number == "13.7"
    assert (us.least(DEPTH, 345.44).number, eu.least(DEPTH, 300.0).number) == ("13.6", "300")


@given(st.floats(0.1, 5000.0))
def test_a_least_value_is_never_less_than_asked_for_nor_a_place_more(mm: float) -> None:
    printed = float(Units("eu").least(DEPTH, mm).number.replace("\u202f", ""))
    assert -0.002 <= printed - mm < 1


def test_a_line_is_counted_in_the_markets_units_and_comes_to_the_same() -> None:
    # A pound is 0.45359237 kg exactly, a foot 0.3048 m.
    assert Units("eu").price_per("kg", "7149.30", "1.18") == ("7\u202f149.3", "kg", "1.18")
    quantity, unit, price = Units("us").price_per("kg", "2267.40", "1.06")
    assert (quantity, unit, price) == ("4,998.8", "lb", "0.4808")
    assert float(quantity.replace(",", "")) * float(price) == pytest.approx(2267.40 * 1.06, rel=1e-4)
    # A mile is 1.609344 km exactly: 22 km at 0.75 are 13.67 miles at 1.2070.
    assert Units("us").price_per("km", "22", "0.75") == ("13.7", "mi", "1.2070")
    assert Units("us").price_per("piece", "263.00", "4.20") == ("263", "piece", "4.20")


def test_times_are_those_of_the_firms_place() -> None:
    vienna = Units("eu", "en", "Europe/Vienna")
    assert vienna.time("2026-11-24T23:02:00Z") == "25 Nov 2026, 00:02 CET"
    assert vienna.date("2026-11-24T23:02:00Z") == "25 November 2026"
    assert vienna.date("2026-12-02") == "2 December 2026"
    assert Units("us").time("2026-11-24T15:02:00Z") == "Nov 24, 2026, 15:02 UTC"
