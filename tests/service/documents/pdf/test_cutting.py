"""Where a long paper is cut, and what its pieces have of the whole."""

import re
from xml.etree import ElementTree
from xml.parsers.expat import ExpatError

import pytest

from service.documents.papers import certificate, crew_sheet
from service.documents.pdf.cutting import cut
from tests.service.documents import facts

FEW = 60
PAGE = (
    '<!DOCTYPE html><html lang="en"><head><title>t</title></head>'
    '<body class="b"><h1 data-left="L" data-right="R">t</h1>{}</body></html>'
)
ROWS = "".join(f"<tr><td>row {number}</td></tr>" for number in range(30))
TABLE = (
    '<section class="s"><h2>T</h2><table class="dense"><thead><tr><th>head</th></tr></thead>'
    f"<tbody>{ROWS}</tbody></table></section>"
)


def certificates() -> str:
    return certificate.html(facts.certificate(off=None))


def pieces_of(html: str, enough: float = FEW) -> list[ElementTree.Element]:
    """The bodies of the pieces; each is a document by itself."""
    return [ElementTree.fromstring(each.html(7))[1] for each in cut(html, enough)]


def test_a_short_paper_is_left_as_it_is() -> None:
    html = certificates()
    (whole,) = cut(html)
    assert whole.html(0) == html


@pytest.mark.parametrize(
    "html", [certificates(), crew_sheet.html(facts.crew_sheet())], ids=["certificate", "crew's sheet"]
)
def test_nothing_is_lost_and_nothing_parted_that_belongs_together(html: str) -> None:
    bodies = pieces_of(html)
    assert len(bodies) > 3
    for tag in ("tr", "td", "h1", "h2", "p", "img", "section", "li"):
        whole = [*ElementTree.fromstring(html)[1].iter(tag)]
        heads = sum(len([*body.iter("thead")]) for body in bodies) - html.count("<thead")
        cut_up = [each for body in bodies for each in body.iter(tag)]
        again = {"tr": heads, "section": len(cut_up) - len(whole)}.get(tag, 0)
        assert len(cut_up) - again == len(whole), tag
    for body in bodies[:-1]:
        *_, last = (each for each in body.iter() if each.tag not in ("body", "div", "section"))
        assert last.tag not in ("h1", "h2", "h3", "thead", "th")


def test_a_table_goes_on_with_its_head_and_in_its_section() -> None:
    first, *others = pieces_of(PAGE.format(TABLE), 15)
    assert first.find("section/table/thead/tr/th").text == "head"  # type: ignore[union-attr]
    assert len(others) > 2
    for body in others:
        (table,) = body.findall("section[@class='s']/table[@class='dense']")
        assert [each.tag for each in table] == ["thead", "tbody"]
        assert body.find("section/h2") is None


def test_what_goes_on_is_named_and_numbered_on_and_says_no_number_of_all_pages() -> None:
    html = certificates()
    assert 'counter(page) " of " counter(pages)' in html
    first, second, *_ = cut(html, FEW)
    assert "counter(pages)" not in first.html(0) + second.html(4)
    assert "counter-reset" not in first.html(0)
    assert "counter-reset: page 5;" in second.html(4)
    assert re.search('<body data-left="[^"]+" data-right="[^"]+"', second.html(4))


def test_a_mark_across_the_page_is_on_every_piece() -> None:
    html = certificate.html(facts.certificate(off=None), preview=True)
    assert all(body.findall("div[@class='preview']") for body in pieces_of(html))


def test_letters_of_several_bytes_are_counted_as_such() -> None:
    bodies = pieces_of(PAGE.format("<p>–■½ é</p>" + TABLE.replace("row", "– é")), 15)
    assert [each.text for body in bodies for each in body.iter("td")] == [
        f"– é {number}" for number in range(30)
    ]


def test_what_is_not_well_formed_is_refused() -> None:
    with pytest.raises(ExpatError):
        cut(PAGE.format("<p>"))
