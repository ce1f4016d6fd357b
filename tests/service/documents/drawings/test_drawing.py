"""The marks that drawings are made of."""

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import pytest

from service.documents.drawings.drawing import (
    BAND,
    PAPER,
    Scale,
    across,
    block,
    fibre_pattern,
    picture,
    tag,
    timber,
    words,
)
from service.documents.papers import certificate, crew_sheet
from tests.service.documents import facts
from tests.service.documents.reading import SVG, drawing, lettering, named


def test_a_picture_has_its_size_on_paper_and_a_title_first() -> None:
    svg = drawing(picture(width_mm=80, height_mm=20.5, title="A < B"))
    assert (svg.get("width"), svg.get("height"), svg.get("viewBox")) == ("80mm", "20.5mm", "0 0 80 20.5")
    assert svg[0].tag.endswith("title")
    assert svg[0].text == "A < B"


def test_lettering_from_strangers_stays_lettering() -> None:
    svg = picture(
        words(0, 0, '</text><image href="file:///etc/passwd"/>'), width_mm=1, height_mm=1, title="t"
    )
    assert lettering(svg) == ['</text><image href="file:///etc/passwd"/>']
    assert not list(named(svg, "image"))


def test_attributes_are_escaped_and_rounded() -> None:
    assert tag("line", x1=1 / 3, stroke_width=2.0, data='"<') == (
        '<line x1="0.333" stroke-width="2" data="&#34;&lt;"></line>'
    )


def test_timber_is_crossed_from_corner_to_corner() -> None:
    svg = picture(timber(2, 3, 4, 8), width_mm=10, height_mm=20, title="t")
    (diagonals,) = named(svg, "path")
    assert diagonals.get("d") == "M2.000 3.000l4.000 8.000m0 -8.000l-4.000 8.000"


def test_a_dimension_says_its_measure_in_the_middle() -> None:
    svg = picture(across(10, 30, 5, "9.40 m"), width_mm=40, height_mm=10, title="t")
    (label,) = named(svg, "text")
    assert (label.get("x"), label.text) == ("20", "9.40 m")


def test_the_texture_is_the_same_every_time_and_named_as_asked() -> None:
    assert fibre_pattern("a") == fibre_pattern("a")
    assert 'id="b"' in fibre_pattern("b")


def test_a_scale_goes_both_ways() -> None:
    down = Scale(zero=2.65, start=6, per_unit=-10)
    assert down(2.65) == 6
    assert down(0) == 32.5


def luminance(colour: str) -> float:
    """Relative luminance of #rrggbb: WCAG 2.2, its glossary."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio: WCAG 2.2, its glossary."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def boxes(mark: Element) -> Iterator[tuple[float, ...]]:
    """The rectangles that a mark fills: x, y, width and height."""
    if mark.tag == f"{SVG}rect":
        yield tuple(float(mark.get(key) or 0) for key in ("x", "y", "width", "height"))
    for found in re.findall(r"M([^ ]+) ([^h]+)h([^v]+)v([^h]+)h[^z]+z", mark.get("d") or ""):
        yield tuple(map(float, found))


def lettered(svg: str) -> Iterator[tuple[str, str, str]]:
    """Every lettering with its colour, and the colour of what was filled last beneath its middle."""
    filled: list[tuple[tuple[float, ...], str]] = []
    for mark in drawing(svg).iter():
        fill = mark.get("fill") or "none"
        if mark.tag == f"{SVG}text":
            x, y, size = (float(mark.get(key) or 0) for key in ("x", "y", "font-size"))
            wide = 0.5 * size * len(mark.text or "")
            x += {"start": 0.5, "middle": 0.0, "end": -0.5}[mark.get("text-anchor") or "start"] * wide
            yield mark.text or "", fill, beneath(filled, x, y - 0.35 * size)
        elif fill.startswith("#"):
            filled += [(box, fill) for box in boxes(mark)]


def beneath(filled: list[tuple[tuple[float, ...], str]], x: float, y: float) -> str:
    """The colour of the box that was filled last of those about this place."""
    for (left, top, wide, high), fill in reversed(filled):
        if 0 <= x - left <= wide and 0 <= y - top <= high:
            return fill
    return PAPER


def test_every_label_stands_out_from_what_is_beneath_it() -> None:
    """A contrast of at least 4.5: WCAG 2.2, success criterion 1.4.3."""
    drawings = re.findall(r"<svg\b.*?</svg>", certificate.html(facts.certificate()), re.DOTALL)
    drawings += re.findall(r"<svg\b.*?</svg>", crew_sheet.html(facts.crew_sheet()), re.DOTALL)
    found = [each for svg in drawings for each in lettered(svg)]
    assert len(found) > 100
    assert {below for _, _, below in found} > {PAPER}
    assert {each for each in found if contrast(each[1], each[2]) < 4.5} == set()


def test_contrast_is_that_of_wcag() -> None:
    # Black on white is 21 : 1 by the definition; #767676 is the palest grey of 4.5 on white (from memory).
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", PAPER) < 4.5 < contrast("#767676", PAPER)


def test_a_label_on_its_block_is_judged_by_the_block() -> None:
    svg = picture(
        block(0, 0, 20, 10, fill=BAND),
        words(10, 6, "here"),
        words(10, 16, "off"),
        width_mm=20,
        height_mm=20,
        title="T",
    )
    assert [(text, below) for text, _, below in lettered(svg)] == [("here", BAND), ("off", PAPER)]
