"""The density that was reached, with its expanded uncertainty, against the window it must lie in."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from markupsafe import Markup

from service.documents.drawing import (
    BAND,
    BAND_LINE,
    FAINT,
    INK,
    PAPER,
    Scale,
    block,
    dashed,
    fitted,
    line,
    picture,
    tag,
    words,
)
from service.documents.formats import DENSITY, Units

Window = tuple[float, float, float]
"""Lowest, target and highest density in kg/m3."""

NAMES_MM = 46.0
FIGURES_MM = 36.0
ROW_MM = 7.0
TOP_MM = 6.5


@dataclass(frozen=True, slots=True)
class Reading:
    """One density to show, with its expanded uncertainty.

    `space` is the compartment's label (empty where there is but one), `found_by` how it
    was found or the sample's shape, `bay` the sample's; `counts` where it decides.
    """

    space: str
    found_by: str
    bay: int | None
    density_kg_m3: float
    expanded_u_kg_m3: float
    counts: bool


def window_chart(
    window: Window,
    readings: Sequence[Reading],
    *,
    name: Callable[[Reading], str],
    units: Units,
    title: str,
    width_mm: float = 166.0,
) -> Markup:
    """A row for each reading: a bar of its expanded uncertainty, a mark in it, the window behind.

    `name` says what a reading is called.
    """
    foot = TOP_MM + ROW_MM * len(readings)
    x = _axis(window, readings, units, start=NAMES_MM, length=width_mm - NAMES_MM - FIGURES_MM)
    lowest, target, highest = (x(units.in_chart(DENSITY, each)) for each in window)
    marks = [
        block(lowest, TOP_MM, highest - lowest, foot - TOP_MM, fill=BAND),
        *(line(each, TOP_MM - 1, each, foot, stroke=BAND_LINE, width=0.3) for each in (lowest, highest)),
        dashed(target, TOP_MM - 1, target, foot, stroke=BAND_LINE, width=0.25),
        *_limits(window, (lowest, target, highest), units),
        *_ticks(x, units, foot, width_mm),
    ]
    for row, reading in enumerate(readings):
        y = TOP_MM + ROW_MM * (row + 0.5)
        figure = units.achieved(reading.density_kg_m3, reading.expanded_u_kg_m3).number
        marks += [
            words(
                0,
                y + 0.9,
                fitted(name(reading), NAMES_MM),
                anchor="start",
                weight=600 if reading.counts else 400,
            ),
            *_bar(reading, x, y, units),
            words(width_mm, y + 0.9, figure, anchor="end", weight=600 if reading.counts else 400),
        ]
    return picture(*marks, width_mm=width_mm, height_mm=foot + 6.5, title=title)


def strip(window: Window, reading: Reading | None, *, units: Units, title: str) -> Markup:
    """The same at a glance, to stand in a table: the window as a band, the reading in it."""
    width_mm, height_mm = 26.0, 5.0
    x = _axis(window, [reading] if reading else [], units, start=0.5, length=width_mm - 1)
    lowest, target, highest = (x(units.in_chart(DENSITY, each)) for each in window)
    marks = [
        line(0, height_mm / 2, width_mm, height_mm / 2, stroke=FAINT, width=0.12),
        block(lowest, 0.7, highest - lowest, height_mm - 1.4, fill=BAND, stroke=BAND_LINE, line_width=0.15),
        line(target, 0.7, target, height_mm - 0.7, stroke=BAND_LINE, width=0.2),
    ]
    if reading:
        marks += _bar(reading, x, height_mm / 2, units)
    return picture(*marks, width_mm=width_mm, height_mm=height_mm, title=title)


def _axis(window: Window, readings: Sequence[Reading], units: Units, *, start: float, length: float) -> Scale:
    """A scale that takes in the window, every reading and a margin on both sides."""
    ends = [each.density_kg_m3 - each.expanded_u_kg_m3 for each in readings]
    ends += [each.density_kg_m3 + each.expanded_u_kg_m3 for each in readings]
    low, high = min(window[0], *ends, window[2]), max(window[2], *ends, window[0])
    margin = 0.18 * (high - low) or 1.0
    first, last = (units.in_chart(DENSITY, each) for each in (low - margin, high + margin))
    return Scale(zero=first, start=start, per_unit=length / (last - first))


def _bar(reading: Reading, x: Scale, y: float, units: Units) -> list[Markup]:
    """The interval of the expanded uncertainty, with the density itself as a lozenge."""
    middle, low, high = (
        x(units.in_chart(DENSITY, value))
        for value in (
            reading.density_kg_m3,
            reading.density_kg_m3 - reading.expanded_u_kg_m3,
            reading.density_kg_m3 + reading.expanded_u_kg_m3,
        )
    )
    lozenge = f"M{middle:.2f} {y - 1.25:.2f}l1.25 1.25l-1.25 1.25l-1.25 -1.25z"
    return [
        line(low, y, high, y, width=0.55 if reading.counts else 0.3),
        *(line(end, y - 0.9, end, y + 0.9, width=0.3) for end in (low, high)),
        tag("path", d=lozenge, fill=INK if reading.counts else PAPER, stroke=INK, stroke_width=0.25),
    ]


def _limits(window: Window, places: tuple[float, float, float], units: Units) -> list[Markup]:
    """The three figures of the window above it; the target's only where it has room."""
    labels = [units.density(each).number for each in window]
    room = min(places[1] - places[0], places[2] - places[1])
    shown = (
        zip(places, labels, strict=True) if room >= 8 else ((places[0], labels[0]), (places[2], labels[2]))
    )
    return [words(place, TOP_MM - 1.9, label, fill=BAND_LINE, weight=600) for place, label in shown]


def _ticks(x: Scale, units: Units, foot: float, width_mm: float) -> list[Markup]:
    length_mm = width_mm - NAMES_MM - FIGURES_MM
    span = length_mm / x.per_unit
    step = _round_step(span / 6)
    places = max(0, -floor(log10(step)))
    marks = [line(NAMES_MM, foot, NAMES_MM + length_mm, foot, width=0.2)]
    for i in range(ceil(x.zero / step), floor((x.zero + span) / step) + 1):
        at = x(i * step)
        marks += [
            line(at, foot, at, foot + 1, width=0.2),
            words(at, foot + 4, units.number(i * step, places), size=2.3, fill=FAINT),
        ]
    unit = DENSITY.us_unit if units.us else DENSITY.unit
    return [*marks, words(width_mm, foot + 4, unit, size=2.3, anchor="end", fill=FAINT)]


def _round_step(least: float) -> float:
    """The next of 1, 2, 5 times a power of ten."""
    power = 10 ** floor(log10(least))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= least * 0.999)
