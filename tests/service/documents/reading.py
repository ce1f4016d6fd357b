"""Reading documents back, as a reader or a screen reader would."""

from collections.abc import Iterator
from html.parser import HTMLParser
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

from pypdf import PdfReader
from weasyprint.formatting_structure.boxes import BlockBox, InlineBlockBox, LineBox, TextBox

from service.documents.pdf.inside import Page, Picture
from service.documents.pdf.render import PackagedAssets, house_style, without_drawings

SVG = "{http://www.w3.org/2000/svg}"


def text_of(pdf: bytes) -> str:
    """All text of a PDF, with every run of white space as one space."""
    pages = (page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return " ".join(" ".join(pages).split())


def page_size_pt(pdf: bytes) -> tuple[float, float]:
    """Width and height of the first page."""
    box = PdfReader(BytesIO(pdf)).pages[0].mediabox
    return float(box.width), float(box.height)


def squeezed(text: str) -> str:
    """The text without white space, for what may be broken over lines anywhere."""
    return "".join(text.split())


class Elements(HTMLParser):
    """Every start tag of an HTML text with its attributes, and the text that is printed."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self._hidden = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self._hidden = tag in ("style", "title")

    def handle_endtag(self, tag: str) -> None:
        self._hidden = False

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.words.append(data)

    def named(self, name: str) -> list[dict[str, str | None]]:
        """The attributes of all elements of this name."""
        return [attributes for tag, attributes in self.tags if tag == name]

    @property
    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def drawing(svg: str) -> ElementTree.Element:
    """A drawing as XML: it must be well formed."""
    return ElementTree.fromstring(svg)


def named(svg: str, name: str, **attributes: str) -> Iterator[ElementTree.Element]:
    """The elements of a drawing with this name and these attributes."""
    for element in drawing(svg).iter(SVG + name):
        if all(element.get(key.replace("_", "-")) == value for key, value in attributes.items()):
            yield element


def lettering(svg: str) -> list[str]:
    """All lettering of a drawing."""
    return [element.text or "" for element in drawing(svg).iter(SVG + "text")]


def laid_out(html: str) -> list[Any]:
    """The pages of a document, as the renderer lays them out."""
    fonts, sheet = house_style()
    drawings: dict[str, Picture] = {}
    page = Page(without_drawings(html, drawings, fonts), PackagedAssets())
    pages: list[Any] = page.render(font_config=fonts, stylesheets=[sheet], cache=drawings).pages
    return pages


def lonely_lines(pages: list[Any]) -> list[str]:
    """Single lines that a paragraph of several pages leaves at the end or at the beginning of one."""
    fragments: dict[int, list[tuple[Any, list[Any]]]] = {}
    for page in pages:
        for box in page._page_box.descendants():
            lines = [child for child in getattr(box, "children", ()) if _of_text(child)]
            if lines and isinstance(box, BlockBox):
                fragments.setdefault(id(box.element), []).append((page, lines))
    split = [each for each in fragments.values() if len({id(page) for page, _ in each}) > 1]
    return [_said(lines[0]) for each in split for _, lines in each if len(lines) == 1]


def _of_text(box: Any) -> bool:
    """Whether it is a line of text: drawings with their legends may stand in rows of their own."""
    return isinstance(box, LineBox) and not any(isinstance(each, InlineBlockBox) for each in box.children)


def _said(line: Any) -> str:
    return "".join(box.text for box in line.descendants() if isinstance(box, TextBox))


def beyond_the_margins(html: str, margin_px: float = 60.0) -> list[str]:
    """Text that would be printed outside the page or in its side margins, after laying it out."""
    return [
        box.text
        for page in laid_out(html)
        for box in page._page_box.descendants()
        if isinstance(box, TextBox)
        and (box.position_x < margin_px or box.position_x + box.width > page.width - margin_px)
    ]
