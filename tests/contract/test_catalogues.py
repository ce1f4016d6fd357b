"""Every code that the service says has words in every language; the catalogues have nothing besides."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from string import Formatter

import pytest
from babel.messages.catalog import Message as Entry
from babel.messages.pofile import read_po

from service import engine
from service.documents.wording.languages import CATALOGUES
from service.documents.wording.sentences import VOCABULARY
from service.engine.ground import vocabulary
from service.engine.ground.formula import Formula
from service.engine.ground.messages import word
from service.engine.ground.vocabulary import LANGUAGES
from tests.sources import files, modules

ROOT = Path(__file__).parents[2]
FORMULA = "formula."


@dataclass(frozen=True, slots=True)
class Call:
    """`message(...)` in the source: what its code is or begins with, and the values that it gives."""

    where: str
    code: str
    whole: bool
    given: frozenset[str]
    more: bool


@cache
def calls() -> tuple[Call, ...]:
    """Every place that makes a message, in service and schemas."""
    return tuple(
        call
        for path in modules("service", "schemas")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id == "message"
        and node.args
        for call in calls_of(node, path)
    )


def calls_of(node: ast.Call, path: Path) -> Iterator[Call]:
    """The call once for each code that it can be seen to have; a code made elsewhere is the tests' there."""
    where = f"{path.relative_to(ROOT)}:{node.lineno}"
    given = frozenset(keyword.arg for keyword in node.keywords if keyword.arg)
    more = any(keyword.arg is None for keyword in node.keywords)
    for code, whole in codes(node.args[0]):
        yield Call(where, code, whole, given, more)


def codes(said: ast.expr) -> Iterator[tuple[str, bool]]:
    match said:
        case ast.Constant(value=str(code)):
            yield code, True
        case ast.JoinedStr(values=[ast.Constant(value=str(start)), *_]):
            yield start, False
        case ast.IfExp(body=body, orelse=other):
            yield from codes(body)
            yield from codes(other)
        case _:
            pass


@cache
def literals() -> frozenset[str]:
    """Every text of the source: a code that a table or a condition chooses is one of them."""
    return frozenset(
        node.value
        for path in modules("service", "schemas")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


@cache
def entries(language: str) -> dict[str, Entry]:
    found: dict[str, Entry] = {}
    for path in files(Path(str(CATALOGUES)) / language, "*.po"):
        with path.open("rb") as source:
            for entry in read_po(source, locale=language, abort_invalid=True):
                if entry.id:
                    code = entry.id if isinstance(entry.id, str) else entry.id[0]
                    assert code not in found, f"{path.name} has {code} a second time"
                    assert path.stem == VOCABULARY or code.startswith(f"{path.stem}."), code
                    found[code] = entry
    return found


def strings(entry: Entry) -> tuple[str, ...]:
    return (entry.string,) if isinstance(entry.string, str) else tuple(entry.string)


def placeholders(entry: Entry) -> set[str]:
    return {name for text in strings(entry) for _, name, _, _ in Formatter().parse(text) if name is not None}


def members() -> set[str]:
    """The codes of all words of the vocabulary."""
    kinds = [kind for kind in vars(vocabulary).values() if isinstance(kind, type) and kind is not StrEnum]
    return {word(member).code for kind in kinds if issubclass(kind, StrEnum) for member in kind}


def formulas() -> set[str]:
    modules = [
        import_module(each.name) for each in walk_packages(engine.__path__, prefix=f"{engine.__name__}.")
    ]
    stated = [value for module in modules for value in vars(module).values() if isinstance(value, Formula)]
    stated += [formula for module in modules for formula in getattr(module, "FORMULAS", ())]
    return {f"{FORMULA}{each.code}" for each in stated}


def said() -> set[str]:
    return {call.code for call in calls() if call.whole} | members() | formulas()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_code_has_its_words(language: str) -> None:
    known = entries(language)
    assert {code for code in said() if code not in known or not all(strings(known[code]))} == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_code_that_is_put_together_begins_as_some_that_have_words(language: str) -> None:
    starts = {call.code for call in calls() if not call.whole}
    assert {
        start for start in starts if not any(code.startswith(start) for code in entries(language))
    } == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_catalogues_have_nothing_that_nobody_says(language: str) -> None:
    starts = tuple(call.code for call in calls() if not call.whole and call.code != FORMULA)
    rest = set(entries(language)) - said() - literals()
    assert {code for code in rest if not code.startswith(starts)} == set()


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_call_gives_what_the_words_ask_for(language: str) -> None:
    known = entries(language)
    asked = {
        call.where: sorted(placeholders(known[call.code]) - call.given)
        for call in calls()
        if call.whole and not call.more and call.code in known
    }
    assert {where: names for where, names in asked.items() if names} == {}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_text_in_several_numbers_is_given_its_count(language: str) -> None:
    known = entries(language)
    plural = {code for code, entry in known.items() if len(strings(entry)) > 1}
    assert {call.where for call in calls() if call.code in plural and "count" not in call.given} == set()


def test_the_languages_say_the_same() -> None:
    english, *others = map(entries, LANGUAGES)
    for other in others:
        assert {
            code: (placeholders(entry), placeholders(other[code]))
            for code, entry in english.items()
            if placeholders(entry) - {"count"} != placeholders(other[code]) - {"count"}
        } == {}


def test_the_scan_sees_what_is_there() -> None:
    tree = ast.parse('message("a.b" if x else f"c.{y}", z=1, **more)').body[0]
    assert isinstance(tree, ast.Expr)
    assert isinstance(tree.value, ast.Call)
    found = list(calls_of(tree.value, ROOT / "service" / "x.py"))
    assert [(call.code, call.whole, call.more) for call in found] == [
        ("a.b", True, True),
        ("c.", False, True),
    ]
    assert {call.given for call in found} == {frozenset({"z"})}
    assert calls()
