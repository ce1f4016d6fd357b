"""The public page: whether a certificate number stands, and whether a file is that certificate."""

from typing import Any

from flask import Response, jsonify, make_response, request

from service.api import problems, spoken
from service.api.auth import context
from service.api.blueprint import Blueprint, public
from service.documents.web import verification
from service.errors import NotKnown
from service.usecases.work import standings

blp = Blueprint(
    "verification", __name__, url_prefix="/verify", description="For whoever holds a certificate."
)


def _answer(description: str) -> dict[str, Any]:
    kinds = ("application/json", "application/problem+json", "text/html")
    return {"description": description, "content": {kind: {} for kind in kinds}}


@blp.route("/<string:number>", methods=["GET"])
@blp.doc(responses={"200": _answer("What may be known of it"), "404": _answer("There is none")})
@public
def read(number: str) -> Any:
    """The page, or JSON for whoever accepts that first."""
    asking = context()
    standing = standings.standing(asking, number)
    if not _for_people():
        return jsonify(standing)
    return _page(verification.html(standing, asking.now, language=spoken.asked_for()))


@blp.errorhandler(NotKnown)
def unknown(error: NotKnown) -> Response:
    """For people a page as well: they typed a number from a sheet of paper."""
    if not _for_people():
        return problems.from_ours(error)
    response = _page(verification.unknown(language=spoken.asked_for()))
    response.status_code = 404
    return response


@blp.after_request
def _by_accept(response: Response) -> Response:
    response.vary.add("Accept")
    return response


def _for_people() -> bool:
    best = request.accept_mimetypes.best_match(["text/html", "application/json"], default="application/json")
    return best == "text/html"


def _page(html: str) -> Response:
    response = make_response(html)
    response.headers["Content-Security-Policy"] = verification.POLICY
    response.vary.add("Accept-Language")
    return response
