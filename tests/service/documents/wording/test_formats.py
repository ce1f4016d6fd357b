"""Figures in the units of each market.

Factors: NIST Special Publication 811 (2008), appendix B.8 and B.9, from memory.
"""

import pytest

from service.documents.wording import formats
from service.documents.wording.formats import DENSITY, Figure, Units

EU, US = Units("eu"), Units("us")


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


def test_us_prints_customary_units_with_si_beside() -> None:
    # 3.5 lb/ft3 is 56.06 kg/m3 (trade.md 1.1, NREL SWS 4.1005.6); 14 in are 355.6 mm.
    assert US.density(56.0646) == Figure("3.50", "lb/ft³", "56.1 kg/m³")
    assert US.depth(355.6) == Figure("14.0", "in", "356 mm")
    assert US.mass(1000) == Figure("2,205", "lb", "1,000.0 kg")
    assert US.range(50, 70) == Figure("3.12 to 4.37", "lb/ft³", "50.0 to 70.0 kg/m³")


def test_a_value_and_its_uncertainty_end_at_the_same_digit() -> None:
    # JCGM 100, 7.2.6: 100.021 47 g with an uncertainty of 0.000 70 g is the guide's example (H.1 has others).
    assert EU.uncertain(DENSITY, 100.02147, 0.00070).number == "100.02147 ± 0.00070"
    assert EU.uncertain(DENSITY, 55.803571, 0.746).number == "55.80 ± 0.75"
    assert EU.uncertain(DENSITY, 2448.35, 21.5).number == "2\u202f448 ± 22"
    assert EU.uncertain(DENSITY, 5.0, 0.0).number == "5.0"


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
    assert EU.probability(p) == printed


def test_sheets_are_finer_than_depths() -> None:
    assert [str(EU.thickness(mm)) for mm in (15, 12.5)] == ["15 mm", "12.5 mm"]
    assert str(US.thickness(12.7)) == "0.50 in"


def test_days_and_moments() -> None:
    assert formats.day("2026-12-02").isoformat() == "2026-12-02"
    assert formats.moment("2026-11-24T15:02:00Z").isoformat() == "2026-11-24T15:02:00+00:00"


def test_a_depth_that_has_to_be_reached_is_rounded_up_in_each_unit() -> None:
    # 13.6 in are 345.44 mm: shown as 345 mm, or 345.5 mm as 13.6 in, the reader would blow too little.
    eu, us = Units("eu"), Units("us")
    assert eu.least_depth(345.44).number == "346"
    assert (us.least_depth(345.5).number, us.least_depth(345.5).beside) == ("13.7", "346 mm")
    assert (us.least_depth(345.44).number, eu.least_depth(300.0).number) == ("13.6", "300")
