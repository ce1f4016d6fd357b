"""The densities that were reached, with their expanded uncertainty, against the window they must lie in."""

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from service.documents.drawings.drawing import (
    BAND,
    BAND_LINE,
    FAINT,
    INK,
    Scale,
    block,
    line,
    picture,
    tag,
)
from service.documents.wording.formats import DENSITY, Units

Window = tuple[float, float, float]
"""Lowest, target and highest density in kg/m3."""
Interval = tuple[float, float, float]
"""Both ends of an expanded uncertainty with the density between them, in the market's unit."""

WIDTH_MM, MIDDLE_MM = 23.0, 2.5


@dataclass(frozen=True, slots=True)
class Reading:
    """The density of a space, with its expanded uncertainty."""

    density_kg_m3: float
    expanded_u_kg_m3: float


def strip(window: Window, readings: Sequence[Reading], *, units: Units, title: str) -> Markup:
    """The window as a band with all readings in it, to stand in a table."""
    x = _axis(window, readings, units, start=0.5, length=WIDTH_MM - 1)
    lowest, target, highest = (x(units.in_chart(DENSITY, each)) for each in window)
    marks = [
        line(0, MIDDLE_MM, WIDTH_MM, MIDDLE_MM, stroke=FAINT, width=0.12),
        block(lowest, 0.7, highest - lowest, 3.6, fill=BAND, stroke=BAND_LINE, line_width=0.15),
        line(target, 0.7, target, 4.3, stroke=BAND_LINE, width=0.2),
        *_together([_interval(each, units) for each in readings], x, MIDDLE_MM),
    ]
    return picture(*marks, width_mm=WIDTH_MM, height_mm=2 * MIDDLE_MM, title=title)


def _together(intervals: Sequence[Interval], x: Scale, y: float) -> list[Markup]:
    """One interval as it is, several as a bar over all of them with a tick for each."""
    if len(intervals) == 1:
        return _bar(intervals[0], x, y)
    return _bar_with_ticks(intervals, x, y) if intervals else []


def _bar(interval: Interval, x: Scale, y: float) -> list[Markup]:
    """The interval of the expanded uncertainty, with the value itself as a lozenge."""
    low, middle, high = (x(each) for each in interval)
    lozenge = f"M{middle:.2f} {y - 1.25:.2f}l1.25 1.25l-1.25 1.25l-1.25 -1.25z"
    return [
        line(low, y, high, y, width=0.55),
        *(line(end, y - 0.9, end, y + 0.9, width=0.3) for end in (low, high)),
        tag("path", d=lozenge, fill=INK, stroke=INK, stroke_width=0.25),
    ]


def _bar_with_ticks(intervals: Sequence[Interval], x: Scale, y: float) -> list[Markup]:
    first, last = x(min(low for low, _, _ in intervals)), x(max(high for _, _, high in intervals))
    ticks = "".join(f"M{x(middle):.2f} {y - 1.5:.2f}v3" for _, middle, _ in intervals)
    ends = "".join(f"M{end:.2f} {y - 0.9:.2f}v1.8" for end in (first, last))
    return [
        line(first, y, last, y, width=0.55),
        tag("path", d=ends + ticks, stroke=INK, stroke_width=0.25, fill="none"),
    ]


def _axis(window: Window, readings: Sequence[Reading], units: Units, *, start: float, length: float) -> Scale:
    """A scale that takes in the window, every reading and a margin on both sides."""
    ends = [each.density_kg_m3 - each.expanded_u_kg_m3 for each in readings]
    ends += [each.density_kg_m3 + each.expanded_u_kg_m3 for each in readings]
    low, high = min(window[0], *ends, window[2]), max(window[2], *ends, window[0])
    margin = 0.18 * (high - low) or 1.0
    first, last = (units.in_chart(DENSITY, each) for each in (low - margin, high + margin))
    return Scale(zero=first, start=start, per_unit=length / (last - first))


def _interval(reading: Reading, units: Units) -> Interval:
    middle, wide = reading.density_kg_m3, reading.expanded_u_kg_m3
    low, value, high = (units.in_chart(DENSITY, each) for each in (middle - wide, middle, middle + wide))
    return low, value, high
