"""Messages of the engine and of the use cases as sentences, in a language and for a market.

A message's words stand in `locale/LANGUAGE/PACKAGE.po`, where PACKAGE is what its code begins
with; those of the vocabulary all stand in `vocabulary.po`. English has its catalogues like every
other language. `{name}` in a text is the value of that name; a text in several numbers goes by
the value named `count`.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from enum import StrEnum
from functools import cache
from typing import Any

from babel.dates import format_date
from babel.messages.catalog import Message as Entry
from babel.messages.pofile import read_po

from service.documents.wording.formats import (
    AREA,
    CONDUCTIVITY,
    DENSITY,
    DEPTH,
    LENGTH,
    LOADING,
    MASS,
    RESISTANCE,
    TRANSMITTANCE,
    VOLUME,
    Kind,
    Units,
)
from service.documents.wording.languages import CATALOGUES, catalogue
from service.engine.ground.messages import Message, to_plain, word
from service.engine.ground.vocabulary import Subject

KINDS: Mapping[str, Kind] = {
    "kg/m3": DENSITY,
    "kg/m2": LOADING,
    "mm": DEPTH,
    "m": LENGTH,
    "m2": AREA,
    "m3": VOLUME,
    "kg": MASS,
    "m2K/W": RESISTANCE,
    "W/m2K": TRANSMITTANCE,
    "W/mK": CONDUCTIVITY,
}
LEAST = ("least", "required", "u")
"""Values of these names are rounded upwards, as papers print least ones: who reaches them has done so.

So is an uncertainty (JCGM 100, 7.2.6 allows it): as it is printed, too, it is what leaves no room.
"""
VOCABULARY = "vocabulary"
Plain = Mapping[str, Any]


def in_words(said: Message | Plain, units: Units | None = None) -> str:
    """The sentence of a message, or of its plain form; English and SI where no units are given."""
    units = units or _usual()
    if isinstance(said, Message) and not said.values:
        return _fixed(said.code, units.language.code)
    plain = to_plain(said) if isinstance(said, Message) else said
    values = {name: _named(name, value, units) for name, value in plain["values"].items()}
    if "source" in values:
        values["source"] = source_in_words(values["source"], units)
    text = _text(plain["code"].partition(".")[0], plain["code"], plain["values"], units)
    return text.format_map(values)


@cache
def _fixed(code: str, language: str) -> str:
    """A sentence without a value: most of a takeoff's, and always the same."""
    return _text(code.partition(".")[0], code, {}, Units("eu", language)).format_map({})


@cache
def _usual() -> Units:
    """English and SI."""
    return Units("eu")


def as_word(member: StrEnum, units: Units | None = None) -> str:
    """A member of the vocabulary in words; English where no units are given."""
    return _text(VOCABULARY, word(member).code, {}, units or _usual())


def subject_in_words(subject: str, units: Units | None = None) -> str:
    """What a condition is about: a word of the vocabulary, or the label, day or code that it is."""
    return as_word(Subject(subject), units) if subject in set(Subject) else subject


def source_in_words(source: str, units: Units) -> str:
    """A source: one that the engine names in the reader's language, a maker's or the firm's own as it is."""
    return catalogue(units.language.code).gettext(source)


def _named(name: str, value: Any, units: Units) -> str:
    match value:
        case {"value": number, "unit": unit} if name in LEAST and unit in KINDS:
            figure = units.least(KINDS[unit], number)
            return f"{figure.number}\u00a0{figure.unit}"
        case {"least": low, "most": high, "unit": unit} if name in LEAST and unit in KINDS:
            figure = units.least_span(KINDS[unit], (low, high))
            return f"{figure.number}\u00a0{figure.unit}"
    return written(value, units)


def written(value: Any, units: Units) -> str:
    """One value of a message, as its reader expects it."""
    match value:
        case {"code": str()}:
            return in_words(value, units)
        case {"value": number, "unit": unit}:
            return _measure(number, unit, units)
        case {"least": least, "most": most, "unit": unit}:
            span = units.span(KINDS[unit], (least, most))
            return f"{span.number}\u00a0{span.unit}"
        case {"word": str(code)}:
            return _text(VOCABULARY, code, {}, units)
        case {"day": str(day)}:
            return units.language.date(date.fromisoformat(day))
        case {"moment": str(moment)}:
            return _by_its_clock(datetime.fromisoformat(moment), units)
        case bool() | str():
            return str(value)
        case int():
            return units.number(value)
        case float():
            return units.number(value, _places(value))
        case Sequence():
            return ", ".join(written(each, units) for each in value)
    raise TypeError(f"no message holds a {type(value).__name__}")


def _by_its_clock(moment: datetime, units: Units) -> str:
    """A moment by the clock that it was told by, which on a site is the site's."""
    return f"{format_date(moment, 'medium', locale=units.language.locale)}, {moment:%H:%M} {moment:%Z}"


def _measure(number: float, unit: str, units: Units) -> str:
    kind = KINDS.get(unit)
    if kind is None:
        return f"{units.number(number, _places(number))}\u00a0{unit}"
    figure = units.figure(kind, number)
    return f"{figure.number}\u00a0{figure.unit}"


def _places(number: float) -> int:
    """Decimals that a plain number is worth: three figures, none that say nothing."""
    text = f"{number:.3g}" if abs(number) < 1000 else f"{number:.0f}"
    return len(f"{float(text):.6f}".rstrip("0").partition(".")[2])


def _text(package: str, code: str, values: Plain, units: Units) -> str:
    entry = _entries(units.language.code, package).get(code)
    if entry is None or not entry.string:
        return code
    if isinstance(entry.string, str):
        return entry.string
    # In the languages that there are, one is one number and all else the other.
    return entry.string[0 if values["count"] == 1 else 1]


@cache
def _entries(language: str, package: str) -> Mapping[str, Entry]:
    path = CATALOGUES / language / f"{package}.po"
    if not path.is_file():
        return {}
    with path.open("rb") as source:
        catalogue = read_po(source, locale=language)
    return {entry.id if isinstance(entry.id, str) else entry.id[0]: entry for entry in catalogue if entry.id}


def every_sentence(language: str = "en") -> dict[str, str]:
    """Each code with its sentence, in the order of the codes; in plural where it has one."""
    packages = sorted(
        path.name.removesuffix(".po") for path in (CATALOGUES / language).iterdir() if path.is_file()
    )
    return {
        code: entry.string if isinstance(entry.string, str) else (entry.string or ("",))[-1]
        for package in packages
        for code, entry in sorted(_entries(language, package).items())
    }
