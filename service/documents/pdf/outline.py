"""The outline of a paper in pieces (ISO 32000-1, 12.3.3): the headings of all of them in one tree."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import pydyf

POINTS = 0.75
"""Of a CSS pixel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bookmark:
    """A line of the outline: a heading, the number of its page's object, and where it is on the page."""

    level: int
    title: str
    page: int
    x: float
    y: float


def bookmarks(document: Any, pdf: pydyf.PDF, offset: int) -> Iterator[Bookmark]:
    """The headings of a laid out piece whose objects are counted on from `offset`."""
    for page, reference in zip(document.pages, pdf.page_references, strict=True):
        number = int(reference.split()[0]) + offset
        for level, title, (x, y), _state in page.bookmarks:
            yield Bookmark(level=level, title=title, page=number, x=x * POINTS, y=(page.height - y) * POINTS)


@dataclass(slots=True)
class _Line:
    """A line of the outline with those under it."""

    number: int
    said: dict[str, Any]
    level: int = 0
    under: list["_Line"] = field(default_factory=list)

    @property
    def count(self) -> int:
        return len(self.under) + sum(each.count for each in self.under)


def outline(
    headings: Sequence[Bookmark], *, number: int, following: int
) -> Iterator[tuple[int, dict[str, Any]]]:
    """The outline with this number, each heading under the last one of a higher level; and theirs."""
    top = _Line(number, {"Type": "/Outlines"})
    way = [top]
    for own, each in enumerate(headings, following):
        place = pydyf.Array([f"{each.page} 0 R", "/XYZ", each.x, each.y, 0])
        line = _Line(own, {"Title": pydyf.String(each.title), "Dest": place}, each.level)
        while way[-1].level >= each.level:
            way.pop()
        way[-1].under.append(line)
        way.append(line)
    yield from _lines(top)


def _lines(line: _Line) -> Iterator[tuple[int, dict[str, Any]]]:
    ends = {"First": line.under[0], "Last": line.under[-1]} if line.under else {}
    said = {**line.said, "Count": line.count, **{name: f"{each.number} 0 R" for name, each in ends.items()}}
    yield line.number, said
    for place, each in enumerate(line.under):
        each.said["Parent"] = f"{line.number} 0 R"
        if place:
            each.said["Prev"] = f"{line.under[place - 1].number} 0 R"
        if place + 1 < len(line.under):
            each.said["Next"] = f"{line.under[place + 1].number} 0 R"
        yield from _lines(each)
