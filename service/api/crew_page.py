"""The crew's page. It is for anybody: only what it asks for needs the crew's link."""

import hashlib
from typing import Any

from flask import Blueprint, Response, make_response

from service.api.blueprint import public
from service.documents.web import crew_page
from service.engine.ground.messages import message
from service.errors import NotKnown

# For browsers: no program calls it, so the document is silent about it.
blp = Blueprint("crew_page", __name__, url_prefix="/crew")


@blp.get("/")
@public
def page() -> Any:
    """The page; its link's token stands behind # and is never sent in an address."""
    return _sent(crew_page.FIRST)


@blp.get("/<string:name>")
@public
def file(name: str) -> Any:
    """A file of the page."""
    if name not in crew_page.files():
        raise NotKnown(message("crews.no_such_file"))
    return _sent(name)


def _sent(name: str) -> Response:
    content = crew_page.files()[name]
    response = make_response(content)
    response.content_type = crew_page.kind(name)
    response.headers["Content-Security-Policy"] = crew_page.POLICY
    # Kept by the page's own worker, version by version: asked for anew each time it looks.
    response.headers["Cache-Control"] = "no-cache"
    response.set_etag(hashlib.sha256(content).hexdigest())
    return response
