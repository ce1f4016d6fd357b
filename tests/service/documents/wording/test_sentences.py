from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from service.documents.wording import sentences
from service.documents.wording.formats import Units
from service.documents.wording.sentences import in_words, subject_in_words, written
from service.engine.ground.messages import Quantity, Word, message, to_plain

EN = """
msgid "test.least"
msgstr "Up to {least}."

msgid "test.density"
msgstr "{density} is below {limit}."

msgid "test.bays"
msgid_plural "test.bays"
msgstr[0] "{count} bay of {cavity}"
msgstr[1] "{count} bays of {cavity}"

msgid "test.limit"
msgstr "the lowest"

msgid "element.wall"
msgstr "wall"

msgid "subject.stock"
msgstr "stock"
"""
DE = (
    EN.replace("is below", "liegt unter")
    .replace("the lowest", "dem kleinsten Wert")
    .replace('"stock"', '"Materialbestand"')
)


@pytest.fixture(autouse=True)
def catalogues(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    for code, text in {"en": EN, "de": DE}.items():
        (tmp_path / code).mkdir()
        head = f'msgid ""\nmsgstr "Content-Type: text/plain; charset=utf-8\\nLanguage: {code}\\n"\n'
        (tmp_path / code / "test.po").write_text(head + text)
        (tmp_path / code / "vocabulary.po").write_text(head + text)
    monkeypatch.setattr(sentences, "CATALOGUES", tmp_path)
    sentences._entries.cache_clear()
    yield
    sentences._entries.cache_clear()


SAID = message("test.density", density=Quantity(49.04, "kg/m3"), limit=message("test.limit"))


@pytest.mark.parametrize(
    ("market", "language", "text"),
    [
        ("eu", "en", "49.0\u00a0kg/m³ is below the lowest."),
        ("eu", "de", "49,0\u00a0kg/m³ liegt unter dem kleinsten Wert."),
        ("us", "en", "3.06\u00a0lb/ft³ is below the lowest."),
    ],
)
def test_a_message_in_a_language_and_for_a_market(market: str, language: str, text: str) -> None:
    assert in_words(SAID, Units(market, language)) == text
    assert in_words(to_plain(SAID), Units(market, language)) == text


def test_a_text_in_several_numbers_goes_by_its_count() -> None:
    assert in_words(message("test.bays", count=1, cavity="W1")) == "1 bay of W1"
    assert in_words(message("test.bays", count=12, cavity="{W1}")) == "12 bays of {W1}"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ({"value": 2.5, "unit": "h"}, "2.5\u00a0h"),
        ({"value": 20.0, "unit": "%"}, "20\u00a0%"),
        ({"day": "2026-11-25"}, "25 November 2026"),
        ({"moment": "2026-11-25T16:30:00.000-08:00"}, "25 Nov 2026, 16:30 UTC-08:00"),
        (["W1", "W2"], "W1, W2"),
        (0.3333333, "0.333"),
        (43.199999999999996, "43.2"),
        (1234.5, "1\u202f234"),
        ({"word": "element.wall"}, "wall"),
    ],
)
def test_values_are_written_for_people(value: object, text: str) -> None:
    assert written(value, Units("eu")) == text


def test_what_is_asked_for_at_the_least_is_rounded_upwards_as_papers_print_it() -> None:
    """ "Blow up to at least 447 mm", says 447.06: who did so was told that it is too thin."""
    assert in_words(message("test.least", least=Quantity(447.06, "mm"))) == "Up to 448\u00a0mm."
    assert in_words(message("test.least", least=Quantity(447.0, "mm"))) == "Up to 447\u00a0mm."
    in_inches = in_words(message("test.least", least=Quantity(447.06, "mm")), Units("us"))
    assert in_inches == "Up to 17.7\u00a0in."


def test_a_word_of_a_kind_nobody_knows_is_seen_at_once() -> None:
    assert in_words(message("nowhere.said", day=date(2026, 1, 1), of=Word("x.y"))) == "nowhere.said"


def test_what_a_condition_is_about_is_a_word_or_stays_what_it_is():
    german = Units("eu", "de")
    assert [subject_in_words(each, german) for each in ("stock", "W1/3")] == ["Materialbestand", "W1/3"]
    assert subject_in_words("stock") == "stock"
