"""Measures in sentences: factors by the international foot and pound, worked out by hand."""

import pytest
from markupsafe import Markup

from service.documents.wording.formats import Units
from service.documents.wording.measures import as_read


@pytest.mark.parametrize(
    ("said", "eu", "us"),
    [
        # NIST SP 811, appendix B (from memory): 1 lb/ft3 is 16.01846 kg/m3, 1 lb is 0.4535924 kg.
        ("is 56.1 kg/m3 here", "is 56.1 kg/m³ here", "is 3.50 lb/ft³ (56.1 kg/m³) here"),
        ("40 to 65 kg/m3.", "40 to 65 kg/m³.", "2.50 to 4.06 lb/ft³ (40 to 65 kg/m³)."),
        ("60.2 +- 1.2 kg/m3", "60.2 ± 1.2 kg/m³", "3.76 ± 0.07 lb/ft³ (60.2 ± 1.2 kg/m³)"),
        ("only 65 x 254 mm: look", "only 65 × 254 mm: look", "only 2.6 × 10.0 in (65 × 254 mm): look"),
        ("(1800 mm long)", "(1800 mm long)", "(70.9 in (1800 mm) long)"),
        ("reaches 1.48 m both ways", "reaches 1.48 m both ways", "reaches 4.9 ft (1.48 m) both ways"),
        ("about 10 kg more", "about 10 kg more", "about 22 lb (10 kg) more"),
        ("10.5 kg/m2 settled", "10.5 kg/m² settled", "2.15 lb/ft² (10.5 kg/m²) settled"),
    ],
)
def test_measures_are_written_for_the_market(said: str, eu: str, us: str) -> None:
    assert as_read(Markup(said), Units("eu")) == eu
    assert as_read(Markup(said), Units("us")) == us


@pytest.mark.parametrize("said", ["0.25 m2K/W", "P-12 mm", "R-13", "80 % humidity", "3 members", "ISO 6946"])
def test_what_is_no_measure_stays(said: str) -> None:
    assert as_read(Markup(said), Units("us")) == said


def test_the_decimal_mark_is_that_of_the_language() -> None:
    assert as_read(Markup("mit 56,1 kg/m3"), Units("us", "de")) == "mit 3,50 lb/ft³ (56,1 kg/m³)"
    assert as_read(Markup("40,0 bis 65,0 kg/m3"), Units("us", "de")).startswith("2,50 bis 4,06 lb/ft³")


def test_markup_stays_markup_and_text_stays_text() -> None:
    assert as_read(Markup("<b>&lt;254 mm</b>"), Units("us")) == "<b>&lt;10.0 in (254 mm)</b>"
