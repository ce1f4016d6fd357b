"""A paper of several pieces is one file: for whoever reads it, listens to it, or takes it apart."""

import re
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest

from service.documents.papers import certificate
from service.documents.pdf.joining import Joined, heard
from service.documents.pdf.writing import Reached
from tests.poppler import poppler
from tests.service.documents import facts

FEW = 150
STORED = facts.certificate(off=None)


@pytest.fixture(scope="module")
def whole() -> bytes:
    """The certificate as it is laid out at once."""
    return certificate.pdf(STORED, facts.canonical(STORED))


@pytest.fixture(scope="module")
def joined() -> bytes:
    """The same in pieces."""
    return in_pieces()


def in_pieces(enough: float = FEW) -> bytes:
    return certificate.printed(certificate.written(STORED, facts.canonical(STORED)), enough=enough)


def opened(content: bytes) -> pikepdf.Pdf:
    return pikepdf.open(BytesIO(content))


def text_of(content: bytes, folder: Path) -> list[str]:
    """The lines that a reader finds, page by page, without footers and what stands on top."""
    path = folder / "paper.pdf"
    path.write_bytes(content)
    return poppler("pdftotext", "-layout", path, "-").split("\f")[:-1]


def test_it_has_the_same_words_in_the_same_order(whole: bytes, joined: bytes, tmp_path: Path) -> None:
    number = STORED["number"]
    of_pages = re.compile(rf"Page \d+( of \d+)?|Installation certificate|{number}")
    said = [" ".join(of_pages.sub("", " ".join(text_of(each, tmp_path))).split()) for each in (whole, joined)]
    lengths = [len(each.split()) for each in said]
    assert lengths[0] <= lengths[1] <= lengths[0] * 1.1  # heads of tables that go on
    assert set(said[0].split()) == set(said[1].split())


def test_its_pages_are_numbered_on_and_named(joined: bytes, tmp_path: Path) -> None:
    pages = text_of(joined, tmp_path)
    assert len(pages) > 4
    for number, page in enumerate(pages, 1):
        assert re.search(rf"Page {number}$", page.strip(), re.MULTILINE)
        assert STORED["number"] in page
        assert " of " not in page.strip().rpartition("Page")[2]


def test_its_outline_is_that_of_the_whole(whole: bytes, joined: bytes) -> None:
    def titles(content: bytes) -> list[object]:
        with opened(content) as pdf, pdf.open_outline() as outline:
            return [_titles(each) for each in outline.root]

    assert titles(joined) == titles(whole)


def _titles(item: pikepdf.OutlineItem) -> tuple[str, list[object]]:
    return item.title, [_titles(each) for each in item.children]


def test_every_marked_content_of_every_page_is_in_the_one_tree(joined: bytes) -> None:
    """ISO 32000-1, 14.7.4.4: by the number of its page in the tree of parents, and its own on the page."""
    with opened(joined) as pdf:
        tree = pikepdf.NumberTree(pdf.Root.StructTreeRoot.ParentTree)
        assert pdf.Root.StructTreeRoot.K.S == "/Document"
        numbers = [int(page.StructParents) for page in pdf.pages]
        assert len(set(numbers)) == len(numbers)
        for page, number in zip(pdf.pages, numbers, strict=True):
            marked = [
                int(op.operands[1].MCID)
                for op in pikepdf.parse_content_stream(page)
                if str(op.operator) == "BDC" and "/MCID" in op.operands[1]
            ]
            parents = list(tree[number])
            assert sorted(marked) == list(range(len(parents)))
            assert {each.Pg.objgen for each in parents} == {page.objgen}


def test_no_two_headings_of_tables_have_one_name(joined: bytes) -> None:
    with opened(joined) as pdf:
        dictionaries = [each for each in pdf.objects if isinstance(each, pikepdf.Dictionary)]
        names = [
            str(each.ID) for each in dictionaries if "/ID" in each and each.get("/Type") == "/StructElem"
        ]
        assert len(names) == len(set(names)) > 20
        cells = [
            each for each in dictionaries if each.get("/S") == "/TD" and "/Headers" in each.get("/A", {})
        ]
        assert cells
        assert {str(name) for cell in cells for name in cell.A.Headers} <= set(names)


def test_it_is_sound_and_carries_the_record_once(joined: bytes) -> None:
    with opened(joined) as pdf:
        assert pdf.check_pdf_syntax() == []
        assert [*pdf.attachments] == ["record.json"]
        assert pdf.attachments["record.json"].get_file().read_bytes() == facts.canonical(STORED)
        streams = [each for each in pdf.objects if isinstance(each, pikepdf.Stream)]
        (packet,) = (each for each in streams if each.get("/Type") == "/Metadata")
        assert b"pdfuaid:part" in packet.read_bytes()


def test_the_same_pieces_give_the_same_bytes(joined: bytes) -> None:
    assert in_pieces() == joined


def test_a_piece_is_told_of_whole() -> None:
    piece = Joined(
        reached=Reached(bytes=9, objects=10, pages=2, parents=3),
        pages=9,
        tags=11,
        parents=12,
        headings=(),
        catalog="<</Lang (en)>>",
        info="<<>>",
        rows=bytes(range(256)),
    )
    assert heard(piece.told()) == piece
