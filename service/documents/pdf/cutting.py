"""A long paper cut into pieces: each a document by itself, that goes on where the one before ended.

What is laid out at once takes memory as long as it is being laid out. A paper is cut where a page may
break: between sections, parts and rows of tables, never after a heading. A table that goes on has its
head again, as on any new page. Papers that are cut give the number of a page without that of all pages,
which nobody knows before the last piece is laid out.
"""

import re
from dataclasses import dataclass, field
from xml.parsers import expat

ENOUGH = 9_000
"""Elements in a piece: some hundred parts, and 250 MB while it is laid out."""
DRAWN = 0.2
"""What an element of a drawing counts: it is put into operators, and laid out nowhere."""
HEADING = frozenset(("h1", "h2", "h3"))
OPEN = frozenset(("body", "section", "table", "tbody"))
SHEET = "crew"
"""The class of the one element around all of a paper."""
BLOCKS = frozenset(("section", "div", "table", "h2"))
WHOLE = frozenset(("keep", "part"))
"""Classes of what is on one page."""
LEADING = frozenset(("lead", "group"))
"""Classes of what belongs to what comes after it."""
OF_ALL_PAGES = re.compile(r'counter\(page\) "[^"]*" counter\(pages\)')
RUNNING = re.compile(r'<h1 (data-left="[^"]*" data-right="[^"]*")')
GOES_ON = """\
<style>
@page :first { margin: 17mm 18mm 16mm; counter-reset: page %d; \
@top-left { content: string(running-left); } @top-right { content: string(running-right); } }
body { string-set: running-left attr(data-left), running-right attr(data-right); }
</style>
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece of a paper; `begins` stands before what it has of its own."""

    head: str
    begins: str
    own: str
    ends: str
    goes_on: bool

    def html(self, pages: int) -> str:
        """The document of the piece, before which there are so many pages."""
        on = GOES_ON % (pages + 1) if self.goes_on else ""
        return self.head.replace("</head>", f"{on}</head>", 1) + self.begins + self.own + self.ends


@dataclass(slots=True)
class _Element:
    """An element that is not closed yet; `at` is where its tag begins, in bytes."""

    tag: str
    at: int
    classes: frozenset[str]
    last: frozenset[str] | None = None
    head: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class _Cut:
    """A place to cut, and what is open there."""

    at: int
    open: tuple[_Element, ...]


@dataclass(slots=True)
class _Reader:
    """Reads a paper, and finds where to cut it."""

    enough: float
    open: list[_Element] = field(default_factory=list)
    cuts: list[_Cut] = field(default_factory=list)
    read: float = 0.0
    drawing: int = 0
    watermark: tuple[int, int] = (0, 0)
    parser: expat.XMLParserType = field(default_factory=lambda: expat.ParserCreate("utf-8"))

    def find(self, paper: bytes) -> None:
        self.parser.StartElementHandler = self._begin
        self.parser.EndElementHandler = self._end
        self.parser.Parse(paper, True)

    def _begin(self, tag: str, attributes: dict[str, str]) -> None:
        at = self.parser.CurrentByteIndex
        classes = frozenset(attributes.get("class", "").split())
        self.drawing += self.drawing > 0 or tag == "svg"
        self.read += DRAWN if self.drawing > 1 else 1
        if self.read >= self.enough and self._may_be_cut(tag):
            self.cuts.append(_Cut(at, tuple(self.open)))
            self.read = 0.0
        if self.open:
            self.open[-1].last = classes | {tag}
        self.open.append(_Element(tag, at, classes))

    def _end(self, tag: str) -> None:
        self.drawing -= self.drawing > 0
        ended = self.open.pop()
        # The event is told where the closing tag begins.
        after = self.parser.CurrentByteIndex + len(f"</{tag}>")
        if tag == "thead":
            self.open[-1].head = (ended.at, after)
        if "preview" in ended.classes:
            self.watermark = (ended.at, after)

    def _may_be_cut(self, tag: str) -> bool:
        """Whether there may be a new page before an element of this tag."""
        inside = self.open[1:]
        if not inside or self.drawing or not all(_is_open(each) for each in inside):
            return False
        before = inside[-1].last
        if not before or before & (HEADING | LEADING | {"thead"}):
            return False
        within = {"tbody": {"tr"}, "table": {"tbody"}}.get(inside[-1].tag, BLOCKS)
        return tag in within


def _is_open(element: _Element) -> bool:
    return SHEET in element.classes or (element.tag in OPEN and not element.classes & WHOLE)


def cut(html: str, enough: float = ENOUGH) -> list[Piece]:
    """The pieces of a paper, one where it has no more than `enough` elements; raises ExpatError."""
    paper = html.encode()
    reader = _Reader(enough)
    reader.find(paper)
    if not reader.cuts:
        return [Piece(head="", begins="", own=html, ends="", goes_on=False)]
    begins = paper.index(b">", paper.index(b"<body")) + 1
    places = [_Cut(begins, ()), *reader.cuts]
    ends = [*(each.at for each in reader.cuts), len(paper)]
    return [
        Piece(
            head=_head(paper[:begins].decode(), html, goes_on=bool(place.open)),
            begins=_reopened(paper, place, reader.watermark),
            own=paper[place.at : end].decode(),
            ends=_closed(after.open if after else ()),
            goes_on=bool(place.open),
        )
        for place, end, after in zip(places, ends, [*reader.cuts, None], strict=True)
    ]


def _head(head: str, html: str, *, goes_on: bool) -> str:
    """All up to the body, which of a piece that goes on names the paper on every page."""
    counted = OF_ALL_PAGES.sub("counter(page)", head)
    running = RUNNING.search(html)
    return counted.replace("<body", f"<body {running[1]}", 1) if goes_on and running else counted


def _reopened(paper: bytes, place: _Cut, watermark: tuple[int, int]) -> str:
    """What was open where a piece was cut off: tags as they were, the heads of tables."""
    inside = [each for each in place.open if each.tag not in ("html", "body")]
    tags = (paper[each.at : paper.index(b">", each.at) + 1] + _slice(paper, each.head) for each in inside)
    again = _slice(paper, watermark) if place.open else b""
    return (again + b"".join(tags)).decode()


def _slice(paper: bytes, span: tuple[int, int] | None) -> bytes:
    return paper[slice(*span)] if span else b""


def _closed(inside: tuple[_Element, ...]) -> str:
    return "".join(f"</{each.tag}>" for each in reversed(inside))
