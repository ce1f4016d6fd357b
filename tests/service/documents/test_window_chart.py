"""Densities against their window: every mark at its place on the axis."""

import re

import pytest

from service.documents.drawing import BAND, INK, PAPER
from service.documents.formats import LOADING, Units
from service.documents.window_chart import Reading, at_least, strip, window_chart
from tests.service.documents.reading import lettering, named

WINDOW = (52.0, 60.0, 65.0)
BALANCE = Reading("", "mass_balance", None, 59.0, 2.0, False)
TOGETHER = Reading("", "combined", None, 58.5, 1.5, True)
NAMES = {"mass_balance": "Mass balance", "combined": "Taken together", "core": "Core"}


def chart(*readings: Reading, market: str = "eu") -> str:
    return window_chart(WINDOW, readings, names=NAMES, bay="bay", units=Units(market), title="Density")


def middle(svg: str, fill: str) -> float:
    (lozenge,) = named(svg, "path", fill=fill)
    return float(re.findall(r"[\d.]+", lozenge.get("d") or "")[0])


def band(svg: str) -> tuple[float, float]:
    (block,) = named(svg, "rect", fill=BAND)
    left = float(block.get("x") or 0)
    return left, left + float(block.get("width") or 0)


@pytest.mark.parametrize("market", ["eu", "us"])
def test_a_reading_lies_in_the_window_where_its_density_lies(market: str) -> None:
    svg = chart(BALANCE, TOGETHER, market=market)
    left, right = band(svg)
    assert (middle(svg, PAPER) - left) / (right - left) == pytest.approx((59 - 52) / (65 - 52), abs=1e-3)
    assert (middle(svg, INK) - left) / (right - left) == pytest.approx((58.5 - 52) / (65 - 52), abs=1e-3)


def test_the_bar_is_the_expanded_uncertainty() -> None:
    svg = chart(TOGETHER)
    left, right = band(svg)
    (bar,) = named(svg, "line", stroke_width="0.55")
    length = float(bar.get("x2") or 0) - float(bar.get("x1") or 0)
    assert length / (right - left) == pytest.approx(2 * 1.5 / (65 - 52), abs=1e-3)


def test_a_reading_far_outside_still_fits_the_paper() -> None:
    svg = chart(Reading("", "mass_balance", None, 20.0, 9.0, True))
    (bar,) = named(svg, "line", stroke_width="0.55")
    assert float(bar.get("x1") or 0) > 46
    assert band(svg)[1] < 166 - 36


def test_names_figures_and_limits_are_written() -> None:
    texts = lettering(chart(BALANCE, TOGETHER))
    assert {"52.0", "60.0", "65.0", "Mass balance", "59.0 ± 2.0", "58.5 ± 1.5", "kg/m³"} <= set(texts)
    assert {"3.25", "4.06", "lb/ft³"} <= set(lettering(chart(BALANCE, market="us")))


def test_a_compartment_and_a_bay_are_named_whatever_they_are_called() -> None:
    svg = chart(Reading("W<1&2>/3", "core", 3, 59.0, 2.0, True))
    assert "W<1&2>/3: Core, bay 3" in lettering(svg)


def test_ticks_lie_on_round_numbers() -> None:
    svg = chart(BALANCE)
    ticks = [float(each.text or 0) for each in named(svg, "text", font_size="2.3") if each.text != "kg/m³"]
    assert ticks == [50, 52, 54, 56, 58, 60, 62, 64, 66] or ticks == [50, 55, 60, 65]


def test_the_strip_shows_every_reading_in_the_window() -> None:
    svg = strip(WINDOW, (BALANCE, TOGETHER), units=Units("eu"), title="Density")
    assert len(list(named(svg, "path", fill=INK))) == 2
    assert lettering(svg) == []


def test_a_least_value_has_a_band_that_is_open_to_the_right() -> None:
    svg = at_least(10.5, 10.8, 0.1, kind=LOADING, units=Units("eu"), title="Mass per area")
    left, right = band(svg)
    assert right == pytest.approx(66)
    assert middle(svg, INK) > left
    assert lettering(svg) == ["10.50 kg/m²"]
    below = at_least(10.5, 10.2, 0.1, kind=LOADING, units=Units("eu"), title="Mass per area")
    assert middle(below, INK) < band(below)[0]
