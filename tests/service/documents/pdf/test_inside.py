"""What we ask of the renderer's inside is there in the version that is installed, and does what we think.

With another version: run the tests of the documents, then look in WeasyPrint's own source at
`HTML.__init__` (are there four attributes still?), `HTML._ua_stylesheets` (may there be none?),
`images.get_image_from_uri` (is the cache asked first?), `svg/text.py` (how a line is lettered)
and `pdf/stream.py` (patterns, the matrix); then name the new version in `inside.py`.
"""

import ast
import re
from io import BytesIO

import pytest
import weasyprint
from pypdf import PdfReader

from service.documents.pdf import inside
from service.documents.pdf.inside import C_TYPES, Canvas, Page, Picture, ffi, learn_types
from service.documents.pdf.render import ASSETS, PackagedAssets, house_style
from tests.sources import ROOT, modules

# What the renderer documents as its interface: https://doc.courtbouillon.org/weasyprint/stable/api_reference.html
PUBLIC = {"weasyprint", "weasyprint.text.fonts", "weasyprint.urls"}
ELEMENT = re.compile(r"<([a-z][a-z0-9]*)\b")
HEAD = '<html lang="en"><head><title>T</title></head>'
XML = f'{HEAD}<body><p>Before</p><img src="asset:a" alt="A"/></body></html>'


def test_it_was_written_for_the_version_that_is_installed() -> None:
    assert weasyprint.__version__ == inside.WRITTEN_FOR


def test_no_other_module_touches_the_inside() -> None:
    touching = {
        path.relative_to(ROOT).as_posix()
        for path in modules("service")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ImportFrom)
        and (node.module or "").split(".")[0] == "weasyprint"
        and node.module not in PUBLIC
    }
    assert touching == {"service/documents/pdf/inside.py"}


def test_a_page_takes_a_picture_from_the_cache_and_letters_it() -> None:
    def draw(canvas: Canvas) -> None:
        canvas.put("0 0 m 10 10 l S")
        tile, name = canvas.tile(1, 2, 3)
        tile.put("0 0 1 1 re f")
        canvas.put(f"/Pattern cs /{name} scn 1 2 5 5 re f")
        canvas.write("Lettered", x=20, y=10, share=0.5, size=4, weight=400)

    fonts, sheet = house_style()
    pictures = {"asset:a": Picture(40, 20, fonts, draw)}
    page = Page(XML, PackagedAssets())
    pdf = page.render(font_config=fonts, stylesheets=[sheet], cache=pictures).write_pdf(uncompressed_pdf=True)
    (read,) = PdfReader(BytesIO(pdf)).pages
    assert "Before" in read.extract_text()
    assert "Lettered" in read.extract_text()
    assert b"0 0 m 10 10 l S" in pdf
    assert b"/PatternType 1" in pdf


def test_the_style_sheet_knows_every_element_that_papers_have() -> None:
    """The renderer's own sheet is left out; what has no rule is set in its line, as HTML has it."""
    within_a_line = {"a", "img", "span", "strong"}
    texts = [
        path.read_text(encoding="utf-8") for path in (ROOT / "service/documents/templates").glob("*.html")
    ]
    papers = [text for text in texts if "words.html" in text and "public.html" not in text]
    assert len(papers) > 8
    styled = set(re.findall(r"^([a-z][\w, ]*) {", (ASSETS / "page.css").read_text(), re.MULTILINE))
    known = {name for names in styled for name in names.split(", ")} | {"br"}
    assert {name for text in papers for name in ELEMENT.findall(text)} - known - within_a_line == set()


def test_a_picture_is_as_large_as_its_millimetres() -> None:
    fonts, _ = house_style()
    width, height, ratio = Picture(25.4, 12.7, fonts, lambda _: None).get_intrinsic_size(1, 16)
    # CSS Values and Units 3, 6.2: an inch is 96 px.
    assert (round(width, 9), round(height, 9), ratio) == (96, 48, 2)


def test_a_page_asks_for_no_c_type_that_was_not_learnt(monkeypatch: pytest.MonkeyPatch) -> None:
    """Besides arrays of as many letters as it has."""
    monkeypatch.setattr(ffi, "_parsed_types", {})
    learn_types()
    fonts, sheet = house_style.__wrapped__()
    pictures = {"asset:a": Picture(40, 20, fonts, lambda canvas: _letter(canvas, "Lettered"))}
    Page(XML, PackagedAssets()).render(font_config=fonts, stylesheets=[sheet], cache=pictures).write_pdf()
    asked = {name for name in ffi._parsed_types if not name.startswith("hb_codepoint_t[")}
    assert asked == set(C_TYPES)


def test_a_label_that_stands_twice_is_laid_out_once() -> None:
    fonts, sheet = house_style()
    pictures = {"asset:a": Picture(40, 20, fonts, lambda canvas: _letter(canvas, "Twice", "Twice"))}
    inside._label.cache_clear()
    laid_out = Page(XML, PackagedAssets()).render(font_config=fonts, stylesheets=[sheet], cache=pictures)
    (read,) = PdfReader(BytesIO(laid_out.write_pdf())).pages
    assert read.extract_text().count("Twice") == 2
    assert inside._label.cache_info().misses == 1


def _letter(canvas: Canvas, *labels: str) -> None:
    for place, label in enumerate(labels, start=1):
        canvas.write(label, x=20, y=5 * place, share=0.5, size=4, weight=400)
