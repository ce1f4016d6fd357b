"""The languages: everything is translated, marks and dates are those of the place, structure is the same."""

import re
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from importlib import import_module
from io import BytesIO
from pathlib import Path
from pkgutil import walk_packages
from string import Formatter
from types import ModuleType

import pytest
from babel.messages.extract import extract_from_file
from babel.messages.pofile import read_po
from jinja2.ext import babel_extract
from pypdf import PdfReader

from schemas.quotes import LANGUAGES
from service import engine
from service.documents.papers import certificate, crew_sheet, quote
from service.documents.wording.formats import DENSITY, Units
from service.documents.wording.languages import CATALOGUES, ORIGIN, Language
from service.documents.wording.sentences import in_words
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Market, Standing
from service.engine.plan.bounds import NON_SETTLING
from service.engine.plan.density import DENSITY_TARGET, DENSITY_WINDOW, PLANNER
from tests import builders
from tests.service.documents import facts
from tests.service.documents.reading import Elements, text_of
from tests.sources import modules as sources_of

DOCUMENTS = Path(quote.__file__).parents[1]
TEMPLATES = (
    *("base", "words", "pieces", "build_ups", "first_page", "evidence", "blanks", "photos"),
    *("quote", "crew_sheet", "certificate", "supplement", "order"),
    *("awaited", "client", "closed", "outcome", "unknown", "verification"),
)
PLACEHOLDER = re.compile(r"%\(\w+\)s|%%|</?\w+>")
TRANSLATED = [code for code in LANGUAGES if code != ORIGIN]

Messages = dict[str | tuple[str, ...], str | tuple[str, ...]]


def asked() -> Iterator[str | tuple[str, ...]]:
    """Every text that the templates and modules of the documents ask a translation for."""
    options_ = {"trimmed": "true", "newstyle_gettext": "true", "trim_blocks": "true", "lstrip_blocks": "true"}
    for name in TEMPLATES:
        with (DOCUMENTS / "templates" / f"{name}.html").open("rb") as source:
            found = babel_extract(source, ("_", "gettext", "ngettext"), [], options_)
            yield from (as_id(message) for _, _, message, _ in found)
    for module in sources_of("service/documents"):
        yield from (
            message for _, message, _, _ in extract_from_file("python", module, keywords={"text": None})
        )
    yield from sources_in_words()


def sources_in_words() -> set[str]:
    """The engine's own sources that papers print: all published ones, and those that bound a density."""
    formulas = [each for module in modules() for each in vars(module).values() if isinstance(each, Formula)]
    published = {formula.source for formula in formulas if formula.standing is Standing.PUBLISHED}
    bounding = {NON_SETTLING.source, DENSITY_WINDOW.source, DENSITY_TARGET.source, PLANNER}
    return published | bounding


def as_id(message: str | tuple[str | None, ...]) -> str | tuple[str, ...]:
    if isinstance(message, str):
        return message
    texts = tuple(text for text in message if text)
    return texts if len(texts) > 1 else texts[0]


def catalogue(code: str) -> Messages:
    with (CATALOGUES / code / "LC_MESSAGES" / "baywright.po").open("rb") as source:
        messages = [message for message in read_po(source, locale=code, abort_invalid=True) if message.id]
    assert not any(message.fuzzy for message in messages)
    return {message.id: message.string for message in messages}


def texts(message: str | tuple[str, ...]) -> tuple[str, ...]:
    return (message,) if isinstance(message, str) else tuple(message)


@pytest.mark.parametrize("code", TRANSLATED)
def test_every_text_is_translated(code: str) -> None:
    known = catalogue(code)
    wanted = set(asked())
    assert len(wanted) > 300
    assert {message for message in wanted if not all(texts(known.get(message, "")))} == set()


@pytest.mark.parametrize("code", TRANSLATED)
def test_translations_keep_the_placeholders_and_marks(code: str) -> None:
    for message, translation in catalogue(code).items():
        for told in texts(translation):
            assert Counter(PLACEHOLDER.findall(told)) == Counter(PLACEHOLDER.findall(texts(message)[-1])), (
                told
            )
            assert fields(told) == fields(texts(message)[-1]), told


def modules() -> Iterator[ModuleType]:
    """All modules of the engine."""
    for module in walk_packages(engine.__path__, prefix=f"{engine.__name__}."):
        yield import_module(module.name)


def fields(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name is not None}


@pytest.mark.parametrize("code", TRANSLATED)
def test_the_catalogue_has_nothing_that_nobody_says(code: str) -> None:
    assert set(catalogue(code)) - set(asked()) == set()


@pytest.mark.parametrize(
    ("made", "stored"),
    [(quote.html, facts.quote), (crew_sheet.html, facts.crew_sheet), (certificate.html, facts.certificate)],
)
@pytest.mark.parametrize("code", TRANSLATED)
def test_a_translated_document_has_the_same_structure(
    code: str, made: Callable[[facts.Facts], str], stored: Callable[[], facts.Facts]
) -> None:
    english, other = (Elements(made(stored() | {"language": each})) for each in (ORIGIN, code))
    assert [tag for tag, _ in other.tags] == [tag for tag, _ in english.tags]
    assert other.named("html") == [{"lang": code}]
    assert not [attributes for _, attributes in other.tags if attributes.get("lang") == ORIGIN]


def test_a_german_quotation_in_german() -> None:
    price = Units("eu", "de").money(facts.quote()["takeoff"]["price"]["total"], "EUR")
    pdf = quote.pdf(facts.quote() | {"language": "de"})
    text = text_of(pdf)
    for told in (
        *("Q-2026-0007, 2. November 2026", "Gültig bis 2. Dezember 2026", price),
        *("Luftdichtheitsebene", "Lanze", "Gefach", "55,0", "50,0–70,0 kg/m³"),
        *("mm dick) reicht in beide Richtungen 1,", "Einblasdämmung aus loser Zellulose in 6 Bauteilen"),
    ):
        assert told in text
    assert PdfReader(BytesIO(pdf)).trailer["/Root"]["/Lang"] == "de"


def test_german_in_the_us_keeps_customary_units() -> None:
    units = Units("us", "de")
    assert units.figure(DENSITY, 56.0646).number == "3,50"


@pytest.mark.parametrize(
    ("language", "written", "number", "count"),
    [
        (Language("en", "eu"), "25 November 2026", "1\u202f234.5", "3"),
        (Language("en", "us"), "November 25, 2026", "1,234.5", "3"),
        (Language("de", "eu"), "25. November 2026", "1.234,5", "3"),
    ],
)
def test_dates_and_numbers_are_written_as_in_the_place(
    language: Language, written: str, number: str, count: str
) -> None:
    # Unicode CLDR by Babel; in English for Europe a narrow space parts the thousands (ISO 80000-1, 7.3.1).
    units = Units(language.market, language.code)
    assert language.date(date(2026, 11, 25)) == written
    assert units.number(1234.5, 1) == number
    assert units.count(3.0) == count
    assert units.probability(1.0, (0.05, 0.95)).endswith(units.number(99.9, 1))


def test_every_reason_of_a_method_can_be_told() -> None:
    german = Units("eu", "de")
    for cavity in (*facts.cavities(), builders.stud_wall()):
        plan = facts.worked_out((cavity,), Market.EU).cavities[0].fill_plan
        reasons = [plan.reason, *(option.reason for option in plan.alternatives)]
        assert not [said for said in reasons if in_words(said, german) in (said.code, in_words(said))]


def test_the_engines_source_is_told_in_the_readers_language_and_a_makers_is_kept() -> None:
    density, rule = {"value": 50.0, "unit": "kg/m3"}, {"code": "plan.posted_target", "values": {}}
    bound = {"density": density, "rule": rule}
    german = Units("eu", "de")
    ours, makers = (
        in_words({"code": "plan.bound", "values": bound | {"source": source}}, german)
        for source in ("the planner", "Wall sheet")
    )
    assert ours.endswith("; die Planung)")
    assert makers.endswith("; Wall sheet)")
