"""Densities against their window: every mark at its place in the strip."""

import re

import pytest

from service.documents.drawings.drawing import BAND, INK
from service.documents.drawings.strip import Reading, strip
from service.documents.wording.formats import Units
from tests.service.documents.reading import lettering, named

WINDOW = (52.0, 60.0, 65.0)
ONE = Reading(58.5, 1.5)
MANY = tuple(Reading(55.0 + i, 2.0) for i in range(5))


def shown(*readings: Reading, market: str = "eu") -> str:
    return strip(WINDOW, readings, units=Units(market), title="Density")


def lozenges(svg: str) -> list[float]:
    """Where the lozenges stand, of which each is one density."""
    return [float(re.findall(r"[\d.]+", path.get("d") or "")[0]) for path in named(svg, "path", fill=INK)]


def ticks(svg: str) -> list[float]:
    """Where the ticks of a bar stand that shows many readings."""
    return [
        float(x)
        for path in named(svg, "path", stroke=INK)
        for x in re.findall(r"M(\S+) \S+v3", path.get("d") or "")
    ]


def band(svg: str) -> tuple[float, float]:
    (block,) = named(svg, "rect", fill=BAND)
    left = float(block.get("x") or 0)
    return left, left + float(block.get("width") or 0)


def bar(svg: str) -> tuple[float, float]:
    (drawn,) = named(svg, "line", stroke_width="0.55")
    return float(drawn.get("x1") or 0), float(drawn.get("x2") or 0)


@pytest.mark.parametrize("market", ["eu", "us"])
def test_a_reading_lies_in_the_window_where_its_density_lies(market: str) -> None:
    svg = shown(ONE, market=market)
    left, right = band(svg)
    (middle,) = lozenges(svg)
    assert (middle - left) / (right - left) == pytest.approx((58.5 - 52) / (65 - 52), abs=2e-3)
    assert ticks(svg) == []
    assert lettering(svg) == []


def test_the_bar_is_the_expanded_uncertainty() -> None:
    svg = shown(ONE)
    left, right = band(svg)
    first, last = bar(svg)
    assert (last - first) / (right - left) == pytest.approx(2 * 1.5 / (65 - 52), abs=2e-3)


def test_a_reading_far_outside_still_fits_the_paper() -> None:
    svg = shown(Reading(20.0, 9.0))
    assert bar(svg)[0] > 0
    assert band(svg)[1] < 23


def test_many_spaces_share_a_bar_with_a_tick_for_each() -> None:
    svg = shown(*MANY)
    left, right = band(svg)
    places = [(x - left) / (right - left) for x in ticks(svg)]
    assert places == pytest.approx([(55 + i - 52) / (65 - 52) for i in range(5)], abs=2e-3)
    first, last = bar(svg)
    assert (last - first) / (right - left) == pytest.approx((4 + 2 * 2.0) / (65 - 52), abs=2e-3)
    assert lozenges(svg) == []


def test_without_a_reading_the_window_stands_alone() -> None:
    svg = shown()
    assert (ticks(svg), lozenges(svg)) == ([], [])
    assert band(svg)[1] > band(svg)[0]
