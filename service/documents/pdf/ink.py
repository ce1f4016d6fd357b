"""Draws our pictures on a page of a PDF.

The renderer's own way with SVG is general, and slow: it lays out every letter of a
label by itself and every label in a group of its own. A picture of ours has a handful of
marks (`drawing.py`, and a QR code's path), and goes straight to the operators of
ISO 32000-1, 8 and 9. A mark that is not among them raises DocumentFailed.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, lru_cache
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

from weasyprint.text.fonts import FontConfiguration

from service.documents.pdf.inside import Canvas, Picture
from service.errors import DocumentFailed

SVG = "{http://www.w3.org/2000/svg}"
# How far along a quarter circle's tangents the handles of its curve lie, in radii.
HANDLE = 0.5522847498
STEPS = re.compile(r"([MmLlHhVvZz])([^A-Za-z]*)")
NUMBER = re.compile(r"-?\d*\.?\d+")
TAKES = {"M": 2, "L": 2, "H": 1, "V": 1, "Z": 0}
ANCHORS = {"start": 0.0, "middle": 0.5, "end": 1.0}
PAINTS = {(True, True): "B", (True, False): "f", (False, True): "S", (False, False): "n"}


def attribute(svg: str, name: str) -> str:
    """An attribute of the drawing itself, as it is written; empty where it has none."""
    found = re.search(rf'\s{name}="([^"]*)"', svg[: svg.index(">")])
    return found[1] if found else ""


def inked(svg: str, fonts: FontConfiguration) -> Picture:
    """The picture that an SVG of ours is; one unit of ours is a millimetre."""
    _, _, width, height = (float(each) for each in attribute(svg, "viewBox").split())

    def draw(canvas: Canvas) -> None:
        # Read now and not before: as elements a document's drawings would take ten times the room.
        _Pen(canvas).draw(ElementTree.fromstring(svg))  # noqa: S314 - it is our own

    return Picture(width, height, fonts, draw)


class _Pen:
    """Draws marks, and says of its colours, width and dashes only what changes.

    Operators are kept back and put into the stream together, which is a matter of memory:
    the renderer holds all pages until the last is drawn.
    """

    def __init__(self, canvas: Canvas) -> None:
        self._canvas = canvas
        self._patterns: dict[str, Element] = {}
        self._set: dict[str, str] = {}
        self._kept: list[str] = []

    def draw(self, marks: Iterable[Element]) -> None:
        """Draw them in their order; raises DocumentFailed for one that is not known."""
        for mark in marks:
            self._draw(mark)
        self._put()

    def _put(self) -> None:
        self._canvas.put("\n".join(self._kept))
        self._kept.clear()

    def _draw(self, mark: Element) -> None:
        name = mark.tag.removeprefix(SVG)
        if name == "defs":
            self._patterns |= {f"url(#{pattern.attrib['id']})": pattern for pattern in mark}
        elif name == "text":
            self._write(mark)
        elif name in SHAPES:
            self._paint(mark, SHAPES[name](mark))
        elif name != "title":
            raise DocumentFailed(f"A drawing has a mark that cannot be drawn: {name!r}")

    def _say(self, operator: str, operands: str) -> None:
        if self._set.get(operator) != operands:
            self._set[operator] = operands
            self._kept.append(f"{operands} {operator}")

    def _paint(self, mark: Element, outline: str) -> None:
        fill, stroke = mark.get("fill", "#000"), mark.get("stroke", "none")
        if fill in self._patterns:
            self._texture(mark, self._patterns[fill])
        elif fill != "none":
            self._say("rg", _colour(fill))
        if stroke != "none":
            dashes = mark.get("stroke-dasharray", "none")
            self._say("RG", _colour(stroke))
            self._say("w", mark.get("stroke-width", "1"))
            self._say("d", f"[{'' if dashes == 'none' else dashes}] 0")
            self._say("J", "1" if mark.get("stroke-linecap") == "round" else "0")
        self._kept.append(f"{outline} {PAINTS[fill != 'none', stroke != 'none']}")

    def _texture(self, mark: Element, pattern: Element) -> None:
        """Fill with the pattern's tile, from the mark's upper left corner on."""
        tile, name = self._canvas.tile(
            float(mark.attrib["x"]), float(mark.attrib["y"]), float(pattern.attrib["width"])
        )
        _Pen(tile).draw(pattern)
        self._set.pop("rg", None)
        self._kept.append(f"/Pattern cs /{name} scn")

    def _write(self, mark: Element) -> None:
        """A label: one line on its baseline."""
        self._say("rg", _colour(mark.attrib["fill"]))
        self._put()
        self._canvas.write(
            mark.text or "",
            x=float(mark.attrib["x"]),
            y=float(mark.attrib["y"]),
            share=ANCHORS[mark.attrib["text-anchor"]],
            size=float(mark.attrib["font-size"]),
            weight=int(mark.attrib["font-weight"]),
        )


@cache
def _colour(written: str) -> str:
    """`#rgb` or `#rrggbb` as three shares of one."""
    digits = written[1:] if len(written) == 7 else "".join(2 * digit for digit in written[1:])
    return " ".join(f"{int(digits[i : i + 2], 16) / 255:.4g}" for i in (0, 2, 4))


def _line(mark: Element) -> str:
    x1, y1, x2, y2 = (mark.attrib[name] for name in ("x1", "y1", "x2", "y2"))
    return f"{x1} {y1} m {x2} {y2} l"


def _rect(mark: Element) -> str:
    return " ".join(mark.attrib[name] for name in ("x", "y", "width", "height")) + " re"


def _circle(mark: Element) -> str:
    """Four quarters, each a Bézier curve: at most 0.03 % of the radius off."""
    x, y, r = (float(mark.attrib[name]) for name in ("cx", "cy", "r"))
    quarters = []
    for across, down in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        ends = (
            (across - HANDLE * down, down + HANDLE * across),
            (HANDLE * across - down, HANDLE * down + across),
            (-down, across),
        )
        quarters.append(" ".join(f"{x + r * dx:.3f} {y + r * dy:.3f}" for dx, dy in ends) + " c")
    return f"{x + r:.3f} {y:.3f} m {' '.join(quarters)} h"


@lru_cache(maxsize=64)
def _outline(steps: str) -> str:
    return " ".join(_followed(steps))


def _followed(steps: str) -> Iterator[str]:
    """A path's straight steps, from relative to absolute; raises DocumentFailed for a curve."""
    known = STEPS.findall(steps)
    if STEPS.sub("", steps).strip() or any(len(NUMBER.findall(w)) != TAKES[k.upper()] for k, w in known):
        raise DocumentFailed(f"A drawing has a path that cannot be drawn: {steps[:40]!r}")
    x = y = first_x = first_y = 0.0
    for kind, written in known:
        if kind in "Zz":
            x, y = first_x, first_y
            yield "h"
            continue
        numbers = [float(each) for each in NUMBER.findall(written)]
        from_x, from_y = (x, y) if kind.islower() else (0.0, 0.0)
        if kind not in "Vv":
            x = from_x + numbers[0]
        if kind not in "Hh":
            y = from_y + numbers[-1]
        if kind in "Mm":
            first_x, first_y = x, y
        yield f"{x:.3f} {y:.3f} {'m' if kind in 'Mm' else 'l'}"


SHAPES: Mapping[str, Callable[[Element], str]] = {
    "line": _line,
    "rect": _rect,
    "circle": _circle,
    "path": lambda mark: _outline(mark.attrib["d"]),
}
