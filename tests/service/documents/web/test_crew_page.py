"""The page's files: all there, small, told to the worker, and saying the same in each language."""

import re

from service.documents.web.crew_page import FIRST, KEEPER, files, kind


def text(name: str) -> str:
    return files()[name].decode()


def test_the_page_weighs_no_more_than_a_photo() -> None:
    assert sum(map(len, files().values())) < 150_000


def test_what_a_module_imports_is_there() -> None:
    modules = [name for name in files() if name.endswith(".js")]
    assert len(modules) > 5
    for name in modules:
        for imported in re.findall(r'from "\./([\w.]+)"', text(name)):
            assert imported in files(), f"{name}: {imported}"


def test_the_worker_keeps_every_file_but_itself() -> None:
    (kept,) = re.findall(r'FILES = "([^"]+)"', text(KEEPER))
    assert set(kept.split()) == {*files(), "./"} - {FIRST, KEEPER}
    assert re.search(r'VERSION = "[0-9a-f]{16}"', text(KEEPER))


def test_every_file_is_of_a_kind_that_is_known() -> None:
    assert {kind(name).partition(";")[0] for name in files()} == {
        "application/manifest+json",
        "image/svg+xml",
        "text/css",
        "text/html",
        "text/javascript",
    }


def catalogue(language: str) -> dict[str, str]:
    """The words of a language, as words.js has them."""
    body = text("words.js").partition(f"  {language}: {{")[2].partition("\n  },")[0]
    return dict(re.findall(r'(\w+): "((?:[^"\\]|\\.)*)"', body))


def test_each_language_says_the_same_with_the_same_values() -> None:
    english, german = catalogue("en"), catalogue("de")
    assert len(english) > 100
    assert english.keys() == german.keys()
    placeholders = re.compile(r"\{\w+\}")
    for name, said in english.items():
        assert set(placeholders.findall(said)) == set(placeholders.findall(german[name])), name


def test_every_text_that_the_page_asks_for_has_its_words() -> None:
    asked = {
        name for file in files() if file.endswith(".js") for name in re.findall(r'words\("(\w+)"', text(file))
    }
    assert len(asked) > 70
    assert asked <= catalogue("en").keys()


def test_nothing_of_the_page_lies_elsewhere() -> None:
    for name in files():
        found = re.findall(r"https?://[\w.]+", text(name))
        assert set(found) <= {"http://www.w3.org"}, name
