"""Densities against their window: every mark at its place on the axis."""

import re

import pytest

from service.documents.drawings.drawing import BAND, INK, PAPER
from service.documents.drawings.window_chart import Reading, Spread, at_least, strip, window_chart
from service.documents.wording.formats import LOADING, Units
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
    assert len(ticks(svg)) == 2
    assert lettering(svg) == []
    assert len(list(named(strip(WINDOW, (BALANCE,), units=Units("eu"), title=""), "path", fill=INK))) == 1
    assert ticks(strip(WINDOW, (), units=Units("eu"), title="")) == []


def ticks(svg: str) -> list[float]:
    """Where the ticks of a bar stand that shows many readings."""
    return [
        float(x)
        for path in named(svg, "path", stroke=INK)
        for x in re.findall(r"M(\S+) \S+v3", path.get("d") or "")
    ]


MANY = tuple(Reading(f"W1/{i}", "mass_balance", None, 55.0 + i, 2.0, True) for i in range(5))


def test_many_spaces_share_a_row_with_a_tick_for_each() -> None:
    svg = window_chart(
        WINDOW,
        [Spread("mass_balance", MANY, bays=False, counts=True)],
        names=NAMES,
        bay="bay",
        units=Units("eu"),
        title="Density",
    )
    left, right = band(svg)
    places = [(x - left) / (right - left) for x in ticks(svg)]
    assert places == pytest.approx([(55 + i - 52) / (65 - 52) for i in range(5)], abs=1e-2)
    (bar,) = named(svg, "line", stroke_width="0.55")
    length = float(bar.get("x2") or 0) - float(bar.get("x1") or 0)
    assert length / (right - left) == pytest.approx((4 + 2 * 2.0) / (65 - 52), abs=1e-2)
    assert {"Mass balance, 5", "55.0–59.0", "W1/0", "W1/4"} <= set(lettering(svg))


def test_many_samples_share_a_row_and_are_named_by_their_bays() -> None:
    cores = tuple(Reading("", "core", bay, 54.0 + bay / 10, 4.0, False) for bay in range(1, 9))
    spread = Spread("core", cores, bays=True, counts=False)
    svg = window_chart(WINDOW, [spread, TOGETHER], names=NAMES, bay="bay", units=Units("eu"), title="Density")
    assert len(ticks(svg)) == 8
    assert {"Core, 8", "1", "8", "58.5 ± 1.5"} <= set(lettering(svg))


def test_a_least_value_has_a_band_that_is_open_to_the_right() -> None:
    svg = at_least(10.5, 10.8, 0.1, kind=LOADING, units=Units("eu"), title="Mass per area")
    left, right = band(svg)
    assert right == pytest.approx(66)
    assert middle(svg, INK) > left
    assert lettering(svg) == ["10.50 kg/m²"]
    below = at_least(10.5, 10.2, 0.1, kind=LOADING, units=Units("eu"), title="Mass per area")
    assert middle(below, INK) < band(below)[0]
