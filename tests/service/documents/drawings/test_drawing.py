"""The marks that drawings are made of."""

from service.documents.drawings.drawing import (
    Scale,
    across,
    fibre_pattern,
    fitted,
    picture,
    tag,
    timber,
    words,
)
from tests.service.documents.reading import drawing, lettering, named


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


def test_long_names_are_cut_to_the_room_there_is() -> None:
    assert fitted("Mass balance", 46) == "Mass balance"
    assert fitted("W" * 300, 46) == "W" * 34 + "…"
