"""Papers that fit in the hand: few pages, none of them nearly empty, in every language and market."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
from pypdf import PdfReader

from service.documents.papers import certificate, crew_sheet, order, quote, supplement
from service.documents.pdf import render
from service.engine.ground.vocabulary import Market
from service.engine.survey.cavity import Cavity
from tests.long import LONG
from tests.poppler import poppler
from tests.service.documents import facts
from tests.service.documents.reading import laid_out, lonely_lines
from tests.verapdf import ACCESSIBLE, CLAIMS, Judged


def building(market: Market) -> tuple[Cavity, ...]:
    """The six parts of `facts`; in the US an open blow is of a row of its label."""
    *others, attic = facts.cavities()
    return (*others, replace(attic, label_r=38) if market is Market.US else attic)


def of_a_supplement(market: Market) -> facts.Facts:
    """Two parts that came up on the way, and one that was left out."""
    its = {"parts": ["W2 north", "A1"], "dropped": ["W9"]}
    wall, attic = (each for each in building(market) if each.label in its["parts"])
    head = {"number": "J-2026-0005-S1", "quote_number": "Q-2026-0007", "supplement": its}
    return facts.quote((wall, attic), market) | head


def of_orders(market: Market) -> facts.Facts:
    """What to order of one material for two jobs."""
    head = {"firm": facts.FIRM, "market": market.value, "language": "en"}
    line = {"material": "CF-STD", "planned_bags": 60, "delivered_bags": 5.0, "there_bags": 3.0}
    orders = {"jobs": ["J-2026-0005", "J-2026-0006"], "items_": [line | {"order_bags": 52}]}
    return head | {"made_at": "2026-11-25T08:00:00Z", "orders": orders}


PAPERS: dict[str, tuple[Callable[[Market], facts.Facts], Callable[[facts.Facts], bytes]]] = {
    "quote": (lambda market: facts.quote(building(market), market), quote.pdf),
    "crew_sheet": (lambda market: facts.crew_sheet(building(market), market), crew_sheet.pdf),
    "supplement": (of_a_supplement, supplement.pdf),
    "order": (of_orders, order.pdf),
    "certificate": (
        lambda market: facts.certificate(building(market), market),
        lambda record: certificate.pdf(record, facts.canonical(record)),
    ),
}
MODULES = {
    "quote": quote,
    "crew_sheet": crew_sheet,
    "certificate": certificate,
    "supplement": supplement,
    "order": order,
}
MOST = {"quote": 4, "crew_sheet": 8, "certificate": 6, "supplement": 2, "order": 1}
"""Pages of the six parts of `facts`."""
READERS = (("eu", "de"), ("us", "en"), ("eu", "en"), ("us", "de"))
"""For whom, and in which language; in the short form only who is met most."""
DPI = 36


@pytest.fixture(scope="module", params=[*PAPERS])
def paper(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module", params=READERS if LONG else READERS[:2], ids="-".join)
def stored(request: pytest.FixtureRequest, paper: str) -> facts.Facts:
    """What one kind of paper is made from, for one market in one language."""
    market, language = request.param
    return PAPERS[paper][0](Market(market)) | {"language": language}


@dataclass(frozen=True, slots=True, kw_only=True)
class Printed:
    """A paper as a file, and its pages as they were laid out for it."""

    path: Path
    pages: list[Any]


@pytest.fixture(scope="module")
def printed(paper: str, stored: facts.Facts, tmp_path_factory: pytest.TempPathFactory) -> Printed:
    path, pages = tmp_path_factory.mktemp("papers") / f"{paper}.pdf", []

    class Kept(render.Page):
        """It is laid out once: what is printed is what is looked at."""

        def render(self, **means: Any) -> Any:
            laid = super().render(**means)
            pages.extend(laid.pages)
            return laid

    with patch.object(render, "Page", Kept):
        path.write_bytes(PAPERS[paper][1](stored))
    return Printed(path=path, pages=pages)


def inked(path: Path) -> list[float]:
    """How far down each page there is ink, header and footer apart, as a share of what there is to fill."""
    stem = path.with_suffix("")
    poppler("pdftoppm", "-r", str(DPI), "-gray", path, stem)
    return [share_of(file.read_bytes()) for file in sorted(path.parent.glob(f"{stem.name}-*.pgm"))]


def share_of(pgm: bytes) -> float:
    _, size, _, pixels = pgm.split(b"\n", 3)
    width, height = map(int, size.split())
    top, bottom = (round(mm / 25.4 * DPI) for mm in (17, 16))
    rows = [pixels[at * width : (at + 1) * width] for at in range(top, height - bottom)]
    last = max((place for place, row in enumerate(rows) if min(row) < 200), default=0)
    return last / len(rows)


def test_no_page_but_the_last_is_nearly_empty(printed: Printed, paper: str) -> None:
    shares = inked(printed.path)
    assert 0 < len(shares) <= MOST[paper]
    assert min(shares[:-1], default=1.0) > 0.25
    reader = PdfReader(printed.path)
    assert all(f" {len(shares)}" in page.extract_text() for page in reader.pages)


def test_no_page_begins_or_ends_with_a_single_line_of_a_paragraph(printed: Printed, paper: str) -> None:
    assert 0 < len(printed.pages) <= MOST[paper]
    assert lonely_lines(printed.pages) == []


OF_ONE = {"certificate": 3, "quote": 3, "crew_sheet": 3}


@pytest.mark.parametrize(
    ("count", "most", "language"), [(1, OF_ONE, "en"), (1, OF_ONE, "de"), (60, {"certificate": 16}, "de")]
)
def test_pages_of_one_part_and_of_sixty(count: int, most: dict[str, int], language: str) -> None:
    kinds = [replace(each, count=1) for each in building(Market.EU)]
    parts = tuple(replace(kinds[place % len(kinds)], label=f"P{place + 1}") for place in range(count))
    for paper, pages in most.items():
        stored = getattr(facts, paper)(parts, **({"off": None} if paper == "certificate" else {}))
        laid = laid_out(MODULES[paper].html(stored | {"language": language}))
        assert 0 < len(laid) <= pages, paper
        assert lonely_lines(laid) == []


@pytest.mark.parametrize(("least", "split"), [(1, True), (2, False)])
def test_a_single_line_would_be_found(least: int, split: bool) -> None:
    text = "word " * 30
    pages = [
        laid_out(
            f'<html lang="en"><body><div style="height:{height}mm"></div>'
            f'<p style="width:60mm;orphans:{least};widows:{least}">{text}</p></body></html>'
        )
        for height in range(236, 266)
    ]
    assert any(len(each) > 1 for each in pages)
    assert any(map(lonely_lines, pages)) is split


def test_a_nearly_empty_page_would_be_found() -> None:
    width, height = 300, 421
    page = bytearray(b"\xff" * width * height)
    head = b"P5\n300 421\n255\n"
    assert share_of(head + bytes(page)) == 0
    page[60 * width + 20] = 0
    assert 0.05 < share_of(head + bytes(page)) < 0.15


def test_verapdf_finds_every_paper_accessible_and_every_certificate_fit_to_be_kept(
    printed: Printed, paper: str, judged: Judged
) -> None:
    """ISO 14289-1, and for certificates ISO 19005-3 level A too."""
    verdicts = judged(printed.path, claims=CLAIMS if paper == "certificate" else (ACCESSIBLE,))
    assert {verdict.claim for verdict in verdicts} >= {ACCESSIBLE}
    assert [verdict.broken for verdict in verdicts if not verdict.conforms] == []
