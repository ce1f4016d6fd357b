"""What all drawings share: SVG marks, a scale, and how timber and fill look.

Drawings are measured in millimetres on paper. Every picture carries a title, which
is what a screen reader reads. Words and labels come in as arguments and are escaped.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import cos, pi, sin

from markupsafe import Markup, escape

from service.documents.wording.letters import legible

INK = "#22302f"
FAINT = "#76736a"
TIMBER = "#ddb878"
TIMBER_LINE = "#7d5a24"
FILL = "#eeece5"
FIBRE = "#a9a496"
BAND = "#dfe7e2"
BAND_LINE = "#5d7a70"
PAPER = "#ffffff"

TEXT = "'Source Sans 3'"
"""In its quotation marks: a browser takes no name with a digit that stands alone without them."""
SMALL = 2.5
"""Height of lettering in a drawing, in millimetres (about 7 pt)."""

TILE = 12.0
"""Side of the square that the fill's texture repeats in, in millimetres."""


def tag(name: str, *children: str, **attributes: object) -> Markup:
    """One SVG element; `font_size` becomes `font-size`, numbers are rounded to a thousandth."""
    written = "".join(f' {key.replace("_", "-")}="{_plain(value)}"' for key, value in attributes.items())
    inside = "".join(child if isinstance(child, Markup) else escape(child) for child in children)
    return Markup(f"<{name}{written}>{inside}</{name}>")  # noqa: S704 - all of it is escaped


def _plain(value: object) -> str:
    if isinstance(value, float):
        return f"{value:.3f}".rstrip("0").rstrip(".")
    return str(value) if isinstance(value, int) else escape(value)


def picture(*marks: str, width_mm: float, height_mm: float, title: str) -> Markup:
    """A whole drawing of this size on paper, with the title that a screen reader reads."""
    return tag(
        "svg",
        tag("title", escape(legible(title))),
        *marks,
        xmlns="http://www.w3.org/2000/svg",
        width=f"{_plain(float(width_mm))}mm",
        height=f"{_plain(float(height_mm))}mm",
        viewBox=f"0 0 {_plain(float(width_mm))} {_plain(float(height_mm))}",
        font_family=TEXT,
    )


def line(x1: float, y1: float, x2: float, y2: float, *, stroke: str = INK, width: float = 0.2) -> Markup:
    """A straight stroke."""
    return tag("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width)


def dashed(x1: float, y1: float, x2: float, y2: float, *, stroke: str = INK, width: float = 0.2) -> Markup:
    """A broken stroke, for what is not to be seen or is only nominal."""
    return tag(
        "line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width, stroke_dasharray="1.2 0.8"
    )


def block(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    fill: str,
    stroke: str = "none",
    line_width: float = 0.2,
) -> Markup:
    """A filled rectangle."""
    return tag(
        "rect", x=x, y=y, width=width, height=height, fill=fill, stroke=stroke, stroke_width=line_width
    )


def blocks(
    boxes: Iterable[tuple[float, float, float, float]], *, fill: str, stroke: str, line_width: float
) -> Markup:
    """Many rectangles of one look, each by its x, y, width and height: one mark draws faster than many."""
    path = "".join(
        f"M{x:.3f} {y:.3f}h{width:.3f}v{height:.3f}h{-width:.3f}z" for x, y, width, height in boxes
    )
    return tag("path", d=path, fill=fill, stroke=stroke, stroke_width=line_width)


def shapes(
    outlines: Iterable[Iterable[tuple[float, float]]], *, fill: str, stroke: str, line_width: float
) -> Markup:
    """Many shapes of one look, each by its corners."""
    path = "".join("M" + "L".join(f"{x:.3f} {y:.3f}" for x, y in corners) + "z" for corners in outlines)
    return tag("path", d=path, fill=fill, stroke=stroke, stroke_width=line_width)


def dots(middles: Iterable[tuple[float, float]], *, radius: float) -> Markup:
    """Many filled circles of one size as one mark."""
    path = "".join(f"M{x:.3f} {y:.3f}h0" for x, y in middles)
    return tag("path", d=path, stroke=INK, stroke_width=2 * radius, stroke_linecap="round", fill="none")


def words(
    x: float,
    y: float,
    text: object,
    *,
    size: float = SMALL,
    anchor: str = "middle",
    fill: str = INK,
    weight: int = 400,
) -> Markup:
    """A line of lettering on its baseline."""
    return tag(
        "text",
        escape(legible(str(text))),
        x=x,
        y=y,
        font_size=size,
        font_weight=weight,
        text_anchor=anchor,
        fill=fill,
    )


@cache
def _fibres() -> str:
    """Short strokes spread evenly by the plastic number's sequence, seamless over the tile's edges.

    The same on every run: a picture must come out the same twice.
    """
    strokes = []
    for i in range(62):
        x, y = (0.7548776662 * i) % 1 * TILE, (0.5698402910 * i) % 1 * TILE
        angle = (0.4142135624 * i * i) % 1 * pi
        dx, dy = 0.62 * cos(angle), 0.62 * sin(angle)
        strokes += [
            f"M{x + right - dx:.2f} {y + down - dy:.2f}l{2 * dx:.2f} {2 * dy:.2f}"
            for right in (-TILE, 0, TILE)
            for down in (-TILE, 0, TILE)
            if -1 < x + right < TILE + 1 and -1 < y + down < TILE + 1
        ]
    return "".join(strokes)


def fibre_pattern(name: str) -> Markup:
    """The definition of the fill's texture; `fibre` uses it by this name."""
    strokes = tag("path", d=_fibres(), stroke=FIBRE, stroke_width=0.14, fill="none")
    pattern = tag("pattern", strokes, id=name, width=TILE, height=TILE, patternUnits="userSpaceOnUse")
    return tag("defs", pattern)


def fibre(x: float, y: float, width: float, height: float, *, pattern: str) -> Markup:
    """A rectangle full of blown fibre."""
    return block(x, y, width, height, fill=FILL) + block(x, y, width, height, fill=f"url(#{pattern})")


def timber(x: float, y: float, width: float, height: float) -> Markup:
    """A member cut across: the draughtsman's crossed diagonals."""
    diagonals = tag(
        "path",
        d=f"M{x:.3f} {y:.3f}l{width:.3f} {height:.3f}m0 {-height:.3f}l{-width:.3f} {height:.3f}",
        stroke=TIMBER_LINE,
        stroke_width=0.12,
        fill="none",
    )
    return block(x, y, width, height, fill=TIMBER, stroke=TIMBER_LINE, line_width=0.22) + diagonals


def across(x1: float, x2: float, y: float, label: object) -> Markup:
    """A dimension line from left to right, with its label above."""
    return Markup("").join(
        (
            line(x1, y, x2, y, width=0.13),
            *(line(x - 0.7, y + 0.7, x + 0.7, y - 0.7, width=0.25) for x in (x1, x2)),
            words((x1 + x2) / 2, y - 0.9, label),
        )
    )


def stack(x: float, stops: tuple[float, ...]) -> Markup:
    """A dimension line from top to bottom with a tick at every stop."""
    return Markup("").join(
        (
            *(line(x, y1, x, y2, width=0.13) for y1, y2 in pairwise(stops)),
            *(line(x - 0.7, y + 0.7, x + 0.7, y - 0.7, width=0.25) for y in stops),
        )
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Turns a measure into millimetres on paper: `start` is where `zero` lies."""

    zero: float
    start: float
    per_unit: float

    def __call__(self, value: float) -> float:
        return self.start + (value - self.zero) * self.per_unit
