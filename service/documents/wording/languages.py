"""The languages that documents are printed in.

A language is one gettext catalogue, `locale/CODE/LC_MESSAGES/baywright.po`, read as it
is; English needs none. How numbers and dates are written follows the Unicode CLDR
through Babel. Texts of the firm's own (its practice, price list and material data) come
in every language that the firm quotes in.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib.resources import files
from io import BytesIO

from babel import Locale
from babel.dates import format_date
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.support import NullTranslations, Translations
from markupsafe import Markup, escape

from service.documents.wording.letters import legible

ORIGIN = "en"
CATALOGUES = files("service.documents") / "locale"
ENGLISH = {"eu": "en_GB", "us": "en_US"}
# A comma between thousands reads as a decimal mark to half of Europe.
NARROW = "\u202f"

NUMBERED = r"(?:[^\W\d_]+-)?[^\W_]*\d[^\W_]*(?:[.:/-][^\W_]+)*"
LIST = re.compile(rf"{NUMBERED}(?:, {NUMBERED})*")
DECIMAL = re.compile(r"\d+\.\d+")
SENTENCE_END = re.compile(r"(?<=\.) +(?=[A-Z])")


@cache
def _read(code: str) -> Catalog:
    with (CATALOGUES / code / "LC_MESSAGES" / "baywright.po").open("rb") as source:
        return read_po(source, locale=code)


@cache
def catalogue(code: str) -> NullTranslations:
    """The translations into a language, compiled from its catalogue."""
    if code == ORIGIN:
        return NullTranslations()
    compiled = BytesIO()
    write_mo(compiled, _read(code))
    compiled.seek(0)
    return Translations(compiled)


@cache
def _sentences(code: str) -> Mapping[str, str]:
    return {
        message.id: message.string
        for message in _read(code)
        if isinstance(message.id, str) and isinstance(message.string, str)
    }


def own_words(texts: Mapping[str, str], language: str) -> str:
    """A firm's own text in a language; a quote is made only in those that all its texts have."""
    return texts.get(language) or next(iter(texts.values()), "")


@dataclass(frozen=True, slots=True)
class Language:
    """How one document is worded: its language, and the market that its reader is in."""

    code: str
    market: str

    @property
    def locale(self) -> Locale:
        return Locale.parse(ENGLISH[self.market] if self.code == ORIGIN else self.code)

    @property
    def decimal_mark(self) -> str:
        return str(self.locale.number_symbols["latn"]["decimal"])

    @property
    def thousands(self) -> str:
        if (self.code, self.market) == (ORIGIN, "eu"):
            return NARROW
        return str(self.locale.number_symbols["latn"]["group"])

    def date(self, day: date) -> str:
        """A day with its month in letters."""
        return format_date(day, "long", locale=self.locale)

    def text(self, message: str, /, **values: object) -> str:
        """A text of the program's own in this language, its `%(name)s` filled."""
        return catalogue(self.code).gettext(message) % values

    def sentence(self, text: str) -> Markup:
        """What the engine says in a sentence or several, in this language.

        Words with a digit in them stand in the catalogue as {0}, {1} and so on. A sentence
        that the catalogue lacks stays English and says so, for screen readers.
        """
        if self.code == ORIGIN:
            return escape(legible(text))
        whole = self.told(text)
        if whole is not None:
            return escape(legible(whole))
        return Markup(" ").join(self._alone(sentence) for sentence in SENTENCE_END.split(text.strip()))

    def _alone(self, sentence: str) -> Markup:
        told = self.told(sentence)
        if told is None:
            return Markup('<span lang="en">{}</span>').format(legible(sentence))
        return escape(legible(told))

    def told(self, sentence: str) -> str | None:
        """The translation of a sentence of the engine's, None where the catalogue lacks it."""
        if self.code == ORIGIN or not sentence:
            return sentence
        known = _sentences(self.code)
        skeleton, words = taken_apart(sentence)
        if sentence in known or skeleton not in known:
            return known.get(sentence)
        return known[skeleton].format(*(self._number(word) for word in words))

    def _number(self, word: str) -> str:
        return word.replace(".", self.decimal_mark) if DECIMAL.fullmatch(word) else word


def taken_apart(sentence: str) -> tuple[str, list[str]]:
    """The sentence with {0}, {1} and so on for its words with a digit in them, and those words.

    Such words that follow one another with commas are one.
    """
    words: list[str] = []

    def place(match: re.Match[str]) -> str:
        words.append(match[0])
        return f"{{{len(words) - 1}}}"

    braced = sentence.replace("{", "{{").replace("}", "}}")
    return LIST.sub(place, braced), words
