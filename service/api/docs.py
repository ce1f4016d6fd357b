"""The documentation for programmers: operations, shapes, problems and codes, all from here."""

from collections.abc import Callable
from typing import Any

from flask import Blueprint, Response, current_app, make_response, redirect, request

from service.api.problem_kinds import KINDS
from service.documents.web import reference
from service.documents.wording.sentences import every_sentence
from service.engine.ground.messages import message
from service.errors import NotKnown

blp = Blueprint("docs", __name__)


@blp.get("/")
def lead_on() -> Any:
    """Who opens the bare address in a browser is led to the documentation."""
    return redirect("/docs/")


@blp.get("/docs/")
def index() -> Response:
    """Where to begin, every operation, every kind of problem."""
    return _page(lambda: reference.index(_document(), kinds=KINDS.values()))


@blp.get("/docs/guide")
def guide() -> Response:
    """The first quote, the first day on site, the first certificate."""
    return _page(reference.guide)


@blp.get("/docs/client.yaml")
def client() -> Response:
    """What a generator of clients has to be told beside the document."""
    response = make_response(reference.client_options())
    response.content_type = "application/yaml"
    return response


@blp.get("/docs/sentences")
def sentences() -> Response:
    """Every sentence that carries a code."""
    return _page(lambda: reference.sentences(every_sentence()))


@blp.get("/docs/<string:resource>")
def section(resource: str) -> Response:
    """The operations of a resource and their shapes."""
    return _page(lambda: reference.section(_document(), resource))


@blp.get("/problems/<string:kind>")
def problem(kind: str) -> Response:
    """What a kind of problem means and what to do: the address is the `type` of its answers."""
    known = KINDS.get(kind)
    return _page(lambda: reference.problem(known) if known else None)


def _document() -> Any:
    return current_app.extensions["openapi"].to_dict()


def _page(make: Callable[[], str | None]) -> Response:
    """The page at this address, made for the first who asks; raises NotKnown where there is none."""
    pages: dict[str, str] = current_app.extensions.setdefault("pages", {})
    html = pages.get(request.path) or make()
    if html is None:
        raise NotKnown(message("api.no_such_page"))
    response = make_response(pages.setdefault(request.path, html))
    response.headers["Content-Security-Policy"] = reference.POLICY
    # The same until the service is another version: asked for anew, and then not sent again.
    response.headers["Cache-Control"] = "no-cache"
    response.add_etag()
    return response
