"""Facts to HTML, HTML to PDF; nothing is read but what is packaged here.

Texts come from strangers. Templates escape all of them, and the renderer has no way
to the network or the disk: its fetcher knows the packaged assets by name and refuses
everything else, loudly. Whatever the renderer would only warn of is an error here.
"""

import gc
import logging
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache, partial
from importlib.resources import files
from threading import get_ident
from types import MappingProxyType
from typing import Any
from xml.etree import ElementTree
from xml.parsers.expat import ExpatError

from jinja2 import Environment, PackageLoader, StrictUndefined, TemplateError, pass_context
from jinja2.runtime import Context
from markupsafe import Markup, escape
from weasyprint import CSS, Attachment
from weasyprint.text.fonts import FontConfiguration
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from service.documents.pdf.cutting import ENOUGH, cut
from service.documents.pdf.ink import attribute, inked
from service.documents.pdf.inside import Page, Picture, learn_types
from service.documents.pdf.packing import pack
from service.documents.pdf.pieces import Finisher, in_pieces
from service.documents.wording.formats import Units, day, moment
from service.documents.wording.languages import CATALOGUES, catalogue, own_words
from service.documents.wording.letters import legible
from service.documents.wording.names import named
from service.documents.wording.sentences import every_sentence, in_words
from service.engine.ground.vocabulary import Market
from service.errors import DocumentFailed

ASSETS = files("service.documents") / "assets"
SCHEME = "asset:"
NO_PICTURES: Mapping[str, bytes] = MappingProxyType({})
DRAWING = re.compile(r"<svg\b[^>]*>\s*<title>(?P<title>[^<]*)</title>.*?</svg>", re.DOTALL)
LARGE = 1_000_000
"""Letters of HTML from which on it is worth a tenth of a second to let go of what it was written from."""
A_TIME = "2026-01-01T00:00:00Z"
"""Any: what a language writes times with is read with the first."""
TYPES = {"css": "text/css", "ttf": "font/ttf"}


def _printable(value: Any) -> Any:
    """What an expression gives, in letters that the fonts have; markup is made of such already."""
    return legible(value) if isinstance(value, str) and not isinstance(value, Markup) else value


@pass_context
def _gettext(context: Context, text: str, **values: Any) -> Markup:
    """The text in the document's language; its translations are the program's own and may hold markup."""
    return _filled(catalogue(context["u"].language.code).gettext(text), values)


@pass_context
def _ngettext(context: Context, one: str, many: str, num: int, **values: Any) -> Markup:
    return _filled(catalogue(context["u"].language.code).ngettext(one, many, num), {"num": num, **values})


def _filled(text: str, values: Mapping[str, Any]) -> Markup:
    return Markup(text) % {name: _printable(value) for name, value in values.items()}  # noqa: S704


@pass_context
def _told(context: Context, said: Mapping[str, Any]) -> Markup:
    """A message of the engine's, or a text of the firm's by language, as the document's reader has it.

    A message has a code; a firm's text has a language for each of its wordings.
    """
    units: Units = context["u"]
    words = in_words(said, units) if "code" in said else own_words(said, units.language.code)
    return escape(legible(words))


ENVIRONMENT = Environment(
    loader=PackageLoader("service.documents", "templates"),
    autoescape=True,
    finalize=_printable,
    undefined=StrictUndefined,
    extensions=["jinja2.ext.i18n"],
    trim_blocks=True,
    lstrip_blocks=True,
)
ENVIRONMENT.newstyle_gettext = True  # type: ignore[attr-defined]
ENVIRONMENT.policies["ext.i18n.trimmed"] = True
ENVIRONMENT.globals |= {"gettext": _gettext, "ngettext": _ngettext, "_": _gettext}
ENVIRONMENT.filters |= {"day": day, "moment": moment, "told": _told, "named": named}


class PackagedAssets(URLFetcher):
    """Serves `asset:NAME` from the package, and the pictures of one document by their whole addresses.

    Anything else ends the rendering.
    """

    def __init__(self, pictures: Mapping[str, bytes] = NO_PICTURES) -> None:
        super().__init__()
        self._pictures = pictures

    def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:  # noqa: ARG002
        if url in self._pictures:
            return URLFetcherResponse(url, self._pictures[url], {"Content-Type": "image/jpeg"})
        name = url.removeprefix(SCHEME)
        asset = ASSETS.joinpath(*name.split("/"))
        if url == name or ".." in name or not asset.is_file():
            raise FatalURLFetchingError(f"{url[:80]!r} is not a packaged asset")
        kind = TYPES[name.rpartition(".")[2]]
        return URLFetcherResponse(url, asset.read_bytes(), {"Content-Type": kind})


def to_html(template: str, *, units: Units, **facts: Any) -> str:
    """The template filled with the facts; a fact that is missing raises DocumentFailed."""
    try:
        return ENVIRONMENT.get_template(template).render(market="us" if units.us else "eu", u=units, **facts)
    except TemplateError as error:
        raise DocumentFailed(f"The document could not be written from its facts: {error}") from error


@dataclass(frozen=True, slots=True, kw_only=True)
class _Means:
    """What a paper is made with besides its HTML."""

    variant: str
    attachments: tuple[Attachment, ...]
    finisher: Finisher | None
    pictures: Mapping[str, bytes]


def pack_last(_document: Any, pdf: Any) -> None:
    """What is done last to a paper of one piece."""
    pack(pdf)


def to_pdf(
    html: str,
    *,
    variant: str = "pdf/ua-1",
    attachments: tuple[Attachment, ...] = (),
    finisher: Finisher | None = None,
    pictures: Mapping[str, bytes] = NO_PICTURES,
    enough: float = ENOUGH,
) -> bytes:
    """The HTML, written as XML, as PDF; a missing asset or any warning raises DocumentFailed.

    `pictures` are JPEG files by the addresses that the HTML has for them. What has more than `enough`
    elements is made in pieces; raises GivenUp where one of them needs too much.
    """
    means = _Means(variant=variant, attachments=attachments, finisher=finisher, pictures=pictures)
    with _failures():
        pieces = cut(html, enough)
        if len(pieces) == 1:
            return _rendered(html, means, pack_last)
    del html
    return in_pieces(pieces, partial(_piece, means))


@contextmanager
def _failures() -> Iterator[None]:
    """Whatever a paper is at fault for, as DocumentFailed."""
    try:
        yield
    except FatalURLFetchingError as error:
        raise DocumentFailed(f"The document asks for something it may not have: {error}") from error
    except (ElementTree.ParseError, ExpatError) as error:
        raise DocumentFailed(f"The document is not well-formed: {error}") from error


def _piece(means: "_Means", html: str, last: Finisher, *, first: bool) -> None:
    """Lay out a piece; what belongs to the whole file comes with the first one."""
    now = means if first else replace(means, attachments=(), finisher=None)
    with _failures():
        _rendered(html, now, last)


def _rendered(html: str, means: "_Means", last: Finisher) -> bytes:
    with _warnings_as_errors(), _collector_at_rest(full=len(html) > LARGE):
        return _printed(html, means, last)


def _printed(html: str, means: "_Means", last: Finisher) -> bytes:
    fonts, sheet = house_style()
    drawings: dict[str, Picture] = {}
    page = Page(without_drawings(html, drawings, fonts), PackagedAssets(means.pictures))
    options = {"attachments": means.attachments, "pdf_variant": means.variant}
    laid_out = page.render(font_config=fonts, stylesheets=[sheet], cache=drawings, **options)
    gc.collect(0)

    def finish(document: Any, pdf: Any) -> None:
        if means.finisher:
            means.finisher(document, pdf)
        last(document, pdf)

    pdf: bytes = laid_out.write_pdf(finisher=finish, **options)
    return pdf


def without_drawings(html: str, drawings: dict[str, Picture], fonts: FontConfiguration) -> str:
    """The HTML with an image in the place of each drawing; the drawing goes into `drawings`.

    The renderer then has neither to match styles with its marks nor to draw them in its own way.
    The drawing's title is what is read aloud.
    """

    def taken_out(found: re.Match[str]) -> str:
        address = f"{SCHEME}drawing-{len(drawings)}"
        drawings[address] = inked(found[0], fonts)
        return f'<img src="{address}" alt="{found["title"]}" class="{attribute(found[0], "class")}"/>'

    return DRAWING.sub(taken_out, html)


@cache
def prepare() -> None:
    """Read and compile what every document needs, once, by whoever forks a process for each.

    It was a fifth of what a certificate took in a process of its own. Fonts are not loaded: the library
    that knows them has threads, which a fork leaves behind.
    """
    for name in ENVIRONMENT.list_templates():
        ENVIRONMENT.get_template(name)
    for language in CATALOGUES.iterdir():
        catalogue(language.name)
        every_sentence(language.name)
        for market in Market:
            Units(market, language.name).time(A_TIME)
    legible("")
    learn_types()
    _rules()


@cache
def house_style() -> tuple[FontConfiguration, CSS]:
    """The style sheet, and the fonts that it names, loaded once in a process."""
    fonts = FontConfiguration()
    CSS(url=f"{SCHEME}faces.css", url_fetcher=PackagedAssets(), font_config=fonts)
    return fonts, _rules()


@cache
def _rules() -> CSS:
    return CSS(url=f"{SCHEME}page.css", url_fetcher=PackagedAssets())


@contextmanager
def _warnings_as_errors() -> Iterator[None]:
    """Whatever the renderer logs as a warning or worse in this thread raises DocumentFailed."""
    heard = _Heard()
    logger = logging.getLogger("weasyprint")
    logger.addHandler(heard)
    try:
        yield
    finally:
        logger.removeHandler(heard)
    if heard.messages:
        raise DocumentFailed("The document could not be rendered cleanly: " + "; ".join(heard.messages))


class _Heard(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.messages: list[str] = []
        self._thread = get_ident()

    def emit(self, record: logging.LogRecord) -> None:
        if record.thread == self._thread:
            self.messages.append(record.getMessage())


@contextmanager
def _collector_at_rest(*, full: bool) -> Iterator[None]:
    """Most of a document is in use while it is made: collecting garbage by hand is a sixth faster.

    Once it is laid out, what was tried for want of room on a page is a fifth of its memory. What a
    large one was written from, a whole record, hangs together in a circle, and goes before.
    """
    was_on = gc.isenabled()
    if full:
        gc.collect()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
            gc.collect(1)
