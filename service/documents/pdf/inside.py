"""Whatever touches the inside of the renderer, which promises none of it: looked at in WeasyPrint 70.0.

- `Page`: an HTML object made without HTML's own reading, from its four attributes, and without
  the renderer's own style sheet.
- `Picture`: what the cache of images may hold in an image's place, by the two methods asked of one.
- `Canvas`: the stream of a page, its pattern tiles, and one line of lettering on it.
- `learn_types`: the C types that it asks for by their names.

`tests/service/documents/pdf/test_inside.py` fails for another version: read there what to look at.
"""

from collections.abc import Callable
from functools import lru_cache
from typing import Any
from xml.etree import ElementTree

from cssselect2 import ElementWrapper
from weasyprint import CSS, HTML
from weasyprint.css.properties import INITIAL_VALUES
from weasyprint.draw.text import draw_first_line
from weasyprint.matrix import Matrix
from weasyprint.svg.text import Style, TextBox
from weasyprint.text.ffi import ffi
from weasyprint.text.fonts import FontConfiguration
from weasyprint.text.line_break import create_layout, line_size
from weasyprint.urls import URLFetcher

WRITTEN_FOR = "70.0"
MM_PX = 96 / 25.4
C_TYPES = (
    *("char[]", "char[4]", "unsigned int *", "hb_tag_t[100]", "FcChar8 **", "PangoFcFontMap *"),
    *("PangoLogAttr[]", "PangoRectangle *"),
)


def learn_types() -> None:
    """Read the C types that each document asks for: a parser written in Python takes 2 ms for one."""
    for name in C_TYPES:
        ffi.typeof(name)


class Page(HTML):
    """A document's HTML, written as XML, which is read a good deal faster."""

    def __init__(self, xml: str, fetcher: URLFetcher) -> None:
        root = ElementTree.fromstring(xml)  # noqa: S314 - of our own templates, which escape every text
        self.base_url, self.url_fetcher, self.media_type = None, fetcher, "print"
        self.wrapper_element = ElementWrapper.from_html_root(root, content_language=None)
        self.etree_element = self.wrapper_element.etree_element

    def _ua_stylesheets(self, forms: bool = False) -> list[CSS]:  # noqa: ARG002
        """None of the renderer's own for the elements of HTML: `page.css` says what ours are."""
        return []


class Canvas:
    """A page, or the tile of a pattern, that is drawn on."""

    def __init__(self, stream: Any, fonts: FontConfiguration) -> None:
        self._stream, self._fonts = stream, fonts

    def put(self, operators: str) -> None:
        """Add operators of ISO 32000-1 as they are."""
        self._stream.stream.append(operators.encode())

    def tile(self, x: float, y: float, side: float) -> tuple["Canvas", str]:
        """A square tile to draw on, laid from (x, y) on, and the name that it is filled with."""
        origin = Matrix(e=x, f=y)
        tile = self._stream.add_pattern(0, 0, side, side, side, side, origin @ self._stream.ctm)
        return Canvas(tile, self._fonts), tile.id

    def write(self, text: str, *, x: float, y: float, share: float, size: float, weight: int) -> None:
        """Letter one line on the baseline `y`; `share` of its width is left of `x`."""
        line, width = _label(self._fonts, text, size, weight)
        self._stream.begin_text()
        draw_first_line(self._stream, line, "none", "none", Matrix(d=-1, e=x - share * width, f=y))
        self._stream.end_text()


class Picture:
    """A picture as the renderer knows pictures: it has a size, and draws itself.

    `draw` is given a canvas that is `width` by `height` units large, each a millimetre.
    """

    def __init__(
        self, width: float, height: float, fonts: FontConfiguration, draw: Callable[[Canvas], None]
    ) -> None:
        self._width, self._height, self._fonts, self._draw = width, height, fonts, draw

    def get_intrinsic_size(self, image_resolution: float, font_size: float) -> tuple[float, float, float]:  # noqa: ARG002
        """Width and height in CSS pixels, and their ratio."""
        return self._width * MM_PX, self._height * MM_PX, self._width / self._height

    def draw(self, stream: Any, width: float, height: float, style: object) -> None:  # noqa: ARG002
        """Draw on the page, whose origin is the picture's upper left corner."""
        stream.transform(a=width / self._width, d=height / self._height)
        self._draw(Canvas(stream, self._fonts))


@lru_cache(maxsize=512)
def _label(fonts: FontConfiguration, text: str, size: float, weight: int) -> tuple[TextBox, float]:
    """A line of lettering with its width: numbers of holes and bays stand in every drawing."""
    style = _lettering(fonts, size, weight)
    layout = create_layout(text, style, None, None, 0)
    first, _ = layout.get_first_line()
    width, _ = line_size(first, style)
    return TextBox(layout, style), width


@lru_cache(maxsize=64)
def _lettering(fonts: FontConfiguration, size: float, weight: int) -> Style:
    style = Style(INITIAL_VALUES, font_family=["Source Sans 3"], font_size=size, font_weight=weight)
    style.font_config = fonts
    return style
