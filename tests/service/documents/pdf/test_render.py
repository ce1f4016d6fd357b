"""The renderer: closed to the outside, and loud about whatever is wrong."""

import gc
import logging
import socket

import pytest
from weasyprint.urls import FatalURLFetchingError

from service.documents.papers import quote
from service.documents.pdf.render import ENVIRONMENT, PackagedAssets, house_style, prepare, to_html, to_pdf
from service.documents.wording.formats import Units
from service.errors import DocumentFailed
from tests.service.documents import facts

PAGE = '<!DOCTYPE html><html lang="en"><head><title>t</title></head><body>{}</body></html>'


@pytest.mark.parametrize(
    "url",
    [
        "http://127.0.0.1:9/x.png",
        "https://specimen.example/x.css",
        "file:///etc/passwd",
        "data:text/css,p{}",
        "ftp://specimen.example/",
        "asset:../render.py",
        "asset:fonts/../../render.py",
        "asset:/etc/passwd",
        "asset:missing.css",
        "page.css",
    ],
)
def test_the_fetcher_serves_packaged_assets_only(url: str) -> None:
    with pytest.raises(FatalURLFetchingError):
        PackagedAssets().fetch(url)


def test_the_fetcher_serves_the_style_sheet_and_its_fonts() -> None:
    assert PackagedAssets().fetch("asset:page.css").content_type == "text/css"
    assert PackagedAssets().fetch("asset:fonts/Literata-Medium.ttf").read(4) == b"\x00\x01\x00\x00"


@pytest.mark.parametrize(
    "body",
    [
        '<img alt="x" src="http://127.0.0.1:9/x.png"/>',
        '<img alt="x" src="file:///etc/hostname"/>',
        '<p style="background: url(asset:missing.png)">x</p>',
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>t</title><image href="file:///etc/hostname"/></svg>',
    ],
)
def test_whatever_asks_for_anything_else_fails(body: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("The renderer went to the network.")

    monkeypatch.setattr(socket.socket, "connect", refuse)
    with pytest.raises(DocumentFailed):
        to_pdf(PAGE.format(body))


def test_what_the_renderer_only_warns_of_is_an_error() -> None:
    with pytest.raises(DocumentFailed, match="colour"):
        to_pdf(PAGE.format('<p style="colour: red">x</p>'))
    with pytest.raises(DocumentFailed, match="Anchor defined twice"):
        to_pdf(PAGE.format('<p id="a">x</p><p id="a">y</p>'))


def test_markup_that_is_not_well_formed_is_refused() -> None:
    with pytest.raises(DocumentFailed, match="not well-formed"):
        to_pdf(PAGE.format("<p>a < b</p>"))


def test_warnings_of_one_document_are_not_those_of_the_next() -> None:
    with pytest.raises(DocumentFailed):
        to_pdf(PAGE.format('<p style="colour: red">x</p>'))
    assert to_pdf(PAGE.format("<p>x</p>")).startswith(b"%PDF-1.7")
    assert not [each for each in logging.getLogger("weasyprint").handlers if each.level == logging.WARNING]


def test_the_collector_is_on_again_afterwards_whatever_happens() -> None:
    with pytest.raises(DocumentFailed):
        to_pdf(PAGE.format('<img alt="x" src="file:///etc/hostname"/>'))
    assert gc.isenabled()


def test_a_missing_fact_is_named() -> None:
    quoted = facts.quote()
    del quoted["firm"]
    with pytest.raises(DocumentFailed, match="firm"):
        to_html("quote.html", units=Units("eu"), facts=quoted)


def test_prepared_a_document_compiles_nothing_and_fonts_are_left_to_its_own_process(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    house_style.cache_clear()
    prepare()
    assert house_style.cache_info().currsize == 0

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("A template was compiled.")

    monkeypatch.setattr(ENVIRONMENT, "compile", refuse)
    assert quote.html(facts.quote(facts.a_few()) | {"language": "de"})
