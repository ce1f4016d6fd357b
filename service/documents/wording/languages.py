"""The languages that documents are printed in.

A language is one gettext catalogue, `locale/CODE/LC_MESSAGES/baywright.po`, read as it
is; English needs none. How numbers and dates are written follows the Unicode CLDR
through Babel. Texts of the firm's own (its practice, price list and material data) come
in every language that the firm quotes in.
"""

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

ORIGIN = "en"
CATALOGUES = files("service.documents") / "locale"
ENGLISH = {"eu": "en_GB", "us": "en_US"}
# A comma between thousands reads as a decimal mark to half of Europe.
NARROW = "\u202f"


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
