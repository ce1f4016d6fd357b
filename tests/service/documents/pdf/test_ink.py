"""Our own way of drawing, against a browser's: the same SVG must look the same."""

import subprocess
from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path

import pikepdf
import pytest
from PIL import Image, ImageChops, ImageFilter
from playwright.sync_api import Browser

from service.documents.drawings.elevation import elevation
from service.documents.drawings.section import section
from service.documents.drawings.strip import Reading, strip
from service.documents.papers import certificate
from service.documents.pdf.render import ASSETS, to_pdf
from service.documents.wording.formats import Units
from service.errors import DocumentFailed
from tests import builders
from tests.browser import chromium
from tests.service.documents import facts

PAGE = """<!DOCTYPE html><html lang="en"><head><title>t</title><style>
@page {{ size: 200mm 90mm; margin: 0; }}
body {{ margin: 0; }}
svg {{ display: block; }}
@font-face {{ font-family: "Source Sans 3"; font-weight: 400; src: url({fonts}SourceSans3-Regular.ttf); }}
@font-face {{ font-family: "Source Sans 3"; font-weight: 600; src: url({fonts}SourceSans3-SemiBold.ttf); }}
.qr {{ width: 27mm; height: 27mm; }}
</style></head><body>{drawing}</body></html>"""
DPI = 192
EU = Units("eu")
HOLES = [{"number": i + 1, "x_m": 0.3 + 0.6 * i, "height_m": 1.3} for i in range(15)]
READINGS = [Reading(55.2, 1.9), Reading(62.0, 6.5)]


def of_section() -> str:
    return section(
        facts.plain(builders.wall()), place=1, units=EU, title="Section", outside="outside", inside="inside"
    )


def of_elevation(step_m: float = 0.6) -> str:
    return elevation(
        facts.plain(builders.wall()),
        holes=[hole | {"x_m": hole["x_m"] * step_m / 0.6} for hole in HOLES],
        sampled=(4, 9),
        units=EU,
        title="Elevation",
    )


PICTURES: dict[str, Callable[[], str]] = {
    "section": of_section,
    "elevation with numbers": of_elevation,
    "elevation with dots": lambda: of_elevation(step_m=0.1),
    "strip": lambda: strip((50, 60, 70), READINGS[:1], units=EU, title="Density"),
    "strip of many": lambda: strip((50, 60, 70), READINGS, units=EU, title="Density"),
    "code": lambda: certificate._qr("https://specimen.example/verify/BW-2026-0001", "QR code"),
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


def by_us(drawing: str, folder: Path) -> Image.Image:
    pdf = folder / "drawing.pdf"
    pdf.write_bytes(to_pdf(PAGE.format(fonts="asset:fonts/", drawing=drawing)))
    subprocess.run(["pdftoppm", "-r", str(DPI), "-png", "-singlefile", pdf, folder / "drawing"], check=True)
    return Image.open(folder / "drawing.png").convert("RGB")


def by_chromium(browser: Browser, drawing: str, folder: Path) -> Image.Image:
    html = folder / "drawing.html"
    html.write_text(PAGE.format(fonts=f"{(ASSETS / 'fonts')}/", drawing=drawing), encoding="utf-8")
    page = browser.new_page(viewport={"width": 756, "height": 340}, device_scale_factor=DPI / 96)
    page.goto(html.as_uri())
    page.evaluate("document.fonts.ready")
    image = Image.open(BytesIO(page.screenshot())).convert("RGB")
    page.close()
    return image


def apart(one: Image.Image, other: Image.Image) -> float:
    """The share of pixels that differ by more than a third of full scale, once both are a little blurred.

    Two programs smooth edges differently by up to a pixel; a mark in the wrong place,
    colour or size differs over its whole area.
    """
    size = (min(one.width, other.width), min(one.height, other.height))
    soft = [each.crop((0, 0, *size)).filter(ImageFilter.GaussianBlur(2)) for each in (one, other)]
    worst = ImageChops.difference(*soft).convert("L").point(lambda value: 255 if value > 85 else 0)
    return worst.histogram()[255] / (size[0] * size[1])


@pytest.mark.parametrize("name", PICTURES)
def test_a_drawing_looks_as_in_a_browser(browser: Browser, name: str, tmp_path: Path) -> None:
    drawing = PICTURES[name]()
    ours, theirs = by_us(drawing, tmp_path), by_chromium(browser, drawing, tmp_path)
    blank = Image.new("RGB", ours.size, "white")
    assert apart(ours, blank) > 20 * (apart(ours, theirs) + 1e-6)
    assert apart(ours, theirs) < 2e-4


@pytest.mark.parametrize(
    "mark",
    [
        '<ellipse cx="1" cy="1" rx="2" ry="3"/>',
        '<path d="M0 0c1 1 2 2 3 3"/>',
        '<path d="M0 0 1 1"/>',
        '<path d="0 0"/>',
    ],
)
def test_a_mark_that_is_not_known_is_refused(mark: str) -> None:
    drawing = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>t</title>{mark}</svg>'
    with pytest.raises(DocumentFailed, match="cannot be drawn"):
        to_pdf(PAGE.format(fonts="asset:fonts/", drawing=drawing))


def test_the_title_is_what_is_read_aloud() -> None:
    pdf = to_pdf(PAGE.format(fonts="asset:fonts/", drawing=of_section()), variant="pdf/ua-1")
    with pikepdf.open(BytesIO(pdf)) as file:
        figures = [each for each in file.objects if isinstance(each, pikepdf.Dictionary) and "/Alt" in each]
        assert [(str(each.S), str(each.Alt)) for each in figures] == [("/Figure", "Section")]
