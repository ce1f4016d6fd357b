"""What the packaged fonts can print, and what is printed by its code point."""

import pytest

from service.documents.wording.letters import legible


@pytest.mark.parametrize("text", ["Größe", "Łódź", "Þórr", "Ωμέγα", "Жизнь", "m²·K/W", "✓ ☐ ±", "two\nlines"])
def test_latin_greek_and_cyrillic_stay_as_they_are(text: str) -> None:
    assert legible(text) == text


def test_other_letters_are_shown_by_code_point() -> None:
    assert legible("測 house 🏠") == "[U+6E2C] house [U+1F3E0]"


def test_what_turns_writing_round_or_rings_a_bell_is_made_visible() -> None:
    assert legible("a\u202eb\x07c\u2066d") == "a[U+202E]b[U+0007]c[U+2066]d"
