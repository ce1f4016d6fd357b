"""The density that was reached, with its expanded uncertainty, against the window it must lie in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from markupsafe import Markup

from service.documents.drawings.drawing import (
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
from service.documents.wording.formats import DENSITY, Kind, Units

Window = tuple[float, float, float]
"""Lowest, target and highest density in kg/m3."""

NAMES_MM = 46.0
FIGURES_MM = 36.0
ROW_MM = 4.9
SPREAD_MM = 7.8
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


@dataclass(frozen=True, slots=True)
class Spread:
    """Many densities found in the same way, to share one row.

    `bays` where each is a sample's in its bay, otherwise each is a space's.
    """

    found_by: str
    readings: tuple[Reading, ...]
    bays: bool
    counts: bool


def window_chart(
    window: Window,
    rows: Sequence[Reading | Spread],
    *,
    names: Mapping[str, str],
    bay: str,
    units: Units,
    title: str,
    width_mm: float = 166.0,
) -> Markup:
    """A row for each reading: a bar of its expanded uncertainty, a mark in it, the window behind.

    A spread has a tick for each of its readings, and the lowest and highest are named.
    `names` says what each `found_by` is called, `bay` what a bay is.
    """
    readings = [each for row in rows for each in (row.readings if isinstance(row, Spread) else (row,))]
    foot = TOP_MM + sum(_height(row) for row in rows)
    x = _axis(window, readings, units, start=NAMES_MM, length=width_mm - NAMES_MM - FIGURES_MM)
    lowest, target, highest = (x(units.in_chart(DENSITY, each)) for each in window)
    marks = [
        block(lowest, TOP_MM, highest - lowest, foot - TOP_MM, fill=BAND),
        *(line(each, TOP_MM - 1, each, foot, stroke=BAND_LINE, width=0.3) for each in (lowest, highest)),
        dashed(target, TOP_MM - 1, target, foot, stroke=BAND_LINE, width=0.25),
        *_limits(window, (lowest, target, highest), units),
        *_ticks(x, units, foot, width_mm),
    ]
    y = TOP_MM + ROW_MM / 2
    for row in rows:
        weight = 600 if row.counts else 400
        name = _spread_name(row, names) if isinstance(row, Spread) else _name(row, names, bay)
        marks.append(words(0, y + 0.9, fitted(name, NAMES_MM), anchor="start", weight=weight))
        marks += _spread(row, x, y, units) if isinstance(row, Spread) else _single(row, x, y, units)
        marks.append(words(width_mm, y + 0.9, _figure(row, units), anchor="end", weight=weight))
        y += _height(row)
    return picture(*marks, width_mm=width_mm, height_mm=foot + 6.5, title=title)


def _height(row: Reading | Spread) -> float:
    return SPREAD_MM if isinstance(row, Spread) else ROW_MM


def _single(row: Reading, x: Scale, y: float, units: Units) -> list[Markup]:
    return _bar(_interval(row, units), x, y, counts=row.counts)


def _ends(spread: Spread) -> tuple[Reading, Reading]:
    """The reading of the lowest density and that of the highest."""
    ranked = sorted(spread.readings, key=lambda each: each.density_kg_m3)
    return ranked[0], ranked[-1]


def _spread(spread: Spread, x: Scale, y: float, units: Units) -> list[Markup]:
    """A bar over all intervals, a tick for every density, and the names of the lowest and highest."""
    intervals = [_interval(each, units) for each in spread.readings]
    bar = _bar_with_ticks(intervals, x, y, width=0.55 if spread.counts else 0.3)
    return [*bar, *_ends_named(spread, x, y, units)]


def _bar_with_ticks(
    intervals: Sequence[tuple[float, float, float]], x: Scale, y: float, *, width: float
) -> list[Markup]:
    first, last = x(min(low for low, _, _ in intervals)), x(max(high for _, _, high in intervals))
    ticks = "".join(f"M{x(middle):.2f} {y - 1.5:.2f}v3" for _, middle, _ in intervals)
    ends = "".join(f"M{end:.2f} {y - 0.9:.2f}v1.8" for end in (first, last))
    return [
        line(first, y, last, y, width=width),
        tag("path", d=ends + ticks, stroke=INK, stroke_width=0.25, fill="none"),
    ]


def _ends_named(spread: Spread, x: Scale, y: float, units: Units) -> list[Markup]:
    low, high = _ends(spread)
    if low is high:
        return []
    sides = ((low, "end", -0.6), (high, "start", 0.6))
    return [
        words(
            x(units.in_chart(DENSITY, each.density_kg_m3)) + aside,
            y + 4,
            fitted(str(each.bay) if spread.bays else each.space, 30, 2.1),
            size=2.1,
            anchor=anchor,
            fill=FAINT,
        )
        for each, anchor, aside in sides
    ]


def _figure(row: Reading | Spread, units: Units) -> str:
    if isinstance(row, Reading):
        return units.achieved(row.density_kg_m3, row.expanded_u_kg_m3).number
    low, high = _ends(row)
    return units.range(low.density_kg_m3, high.density_kg_m3).number


def _spread_name(spread: Spread, names: Mapping[str, str]) -> str:
    return f"{names[spread.found_by]}, {len(spread.readings)}"


def _name(reading: Reading, names: Mapping[str, str], bay: str) -> str:
    space = f"{reading.space}: " if reading.space else ""
    place = f", {bay} {reading.bay}" if reading.bay is not None else ""
    return f"{space}{names[reading.found_by]}{place}"


def strip(window: Window, readings: Sequence[Reading], *, units: Units, title: str) -> Markup:
    """The same at a glance, to stand in a table: the window as a band, all readings in it."""
    width_mm, middle_mm = 23.0, 2.5
    x = _axis(window, readings, units, start=0.5, length=width_mm - 1)
    lowest, target, highest = (x(units.in_chart(DENSITY, each)) for each in window)
    marks = [
        line(0, middle_mm, width_mm, middle_mm, stroke=FAINT, width=0.12),
        block(lowest, 0.7, highest - lowest, 3.6, fill=BAND, stroke=BAND_LINE, line_width=0.15),
        line(target, 0.7, target, 4.3, stroke=BAND_LINE, width=0.2),
        *_together([_interval(each, units) for each in readings], x, middle_mm),
    ]
    return picture(*marks, width_mm=width_mm, height_mm=2 * middle_mm, title=title)


def _together(intervals: Sequence[tuple[float, float, float]], x: Scale, y: float) -> list[Markup]:
    """One interval as it is, several as a bar over all of them with a tick for each."""
    if len(intervals) == 1:
        return _bar(intervals[0], x, y, counts=True)
    return _bar_with_ticks(intervals, x, y, width=0.55) if intervals else []


def _axis(window: Window, readings: Sequence[Reading], units: Units, *, start: float, length: float) -> Scale:
    """A scale that takes in the window, every reading and a margin on both sides."""
    ends = [each.density_kg_m3 - each.expanded_u_kg_m3 for each in readings]
    ends += [each.density_kg_m3 + each.expanded_u_kg_m3 for each in readings]
    low, high = min(window[0], *ends, window[2]), max(window[2], *ends, window[0])
    margin = 0.18 * (high - low) or 1.0
    first, last = (units.in_chart(DENSITY, each) for each in (low - margin, high + margin))
    return Scale(zero=first, start=start, per_unit=length / (last - first))


def at_least(
    required: float, value: float, expanded_u: float, *, kind: Kind, units: Units, title: str
) -> Markup:
    """What was found of something that has a least value only, in SI: the band is open to the right."""
    width_mm, middle_mm = 66.0, 8.0
    low, high = min(required, value - expanded_u), max(required, value + expanded_u)
    margin = 0.25 * (high - low) or 0.1 * required
    x = Scale(zero=low - margin, start=1, per_unit=(width_mm - 2) / (high - low + 2 * margin))
    limit = x(required)
    marks = [
        block(limit, middle_mm - 2.6, width_mm - limit, 5.2, fill=BAND),
        line(1, middle_mm, width_mm, middle_mm, stroke=FAINT, width=0.12),
        line(limit, middle_mm - 3.4, limit, middle_mm + 2.6, stroke=BAND_LINE, width=0.3),
        words(limit, middle_mm - 4.3, units.figure(kind, required), fill=BAND_LINE, weight=600),
        *_bar((value - expanded_u, value, value + expanded_u), x, middle_mm, counts=True),
    ]
    return picture(*marks, width_mm=width_mm, height_mm=middle_mm + 3.5, title=title)


def _interval(reading: Reading, units: Units) -> tuple[float, float, float]:
    """Both ends of the expanded uncertainty with the density between them, in the chart's unit."""
    middle, wide = reading.density_kg_m3, reading.expanded_u_kg_m3
    low, value, high = (units.in_chart(DENSITY, each) for each in (middle - wide, middle, middle + wide))
    return low, value, high


def _bar(interval: tuple[float, float, float], x: Scale, y: float, *, counts: bool) -> list[Markup]:
    """The interval of the expanded uncertainty, with the value itself as a lozenge."""
    low, middle, high = (x(each) for each in interval)
    lozenge = f"M{middle:.2f} {y - 1.25:.2f}l1.25 1.25l-1.25 1.25l-1.25 -1.25z"
    return [
        line(low, y, high, y, width=0.55 if counts else 0.3),
        *(line(end, y - 0.9, end, y + 0.9, width=0.3) for end in (low, high)),
        tag("path", d=lozenge, fill=INK if counts else PAPER, stroke=INK, stroke_width=0.25),
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
    stops = [i * step for i in range(ceil(x.zero / step), floor((x.zero + span) / step) + 1)]
    axis = f"M{NAMES_MM} {foot:.2f}h{length_mm}" + "".join(f"M{x(stop):.2f} {foot:.2f}v1" for stop in stops)
    marks = [
        tag("path", d=axis, stroke=INK, stroke_width=0.2, fill="none"),
        *(words(x(stop), foot + 4, units.number(stop, places), size=2.3, fill=FAINT) for stop in stops),
    ]
    unit = DENSITY.us_unit if units.us else DENSITY.unit
    return [*marks, words(width_mm, foot + 4, unit, size=2.3, anchor="end", fill=FAINT)]


def _round_step(least: float) -> float:
    """The next of 1, 2, 5 times a power of ten."""
    power = 10.0 ** floor(log10(least))
    return next(step * power for step in (1, 2, 5, 10) if step * power >= least * 0.999)
