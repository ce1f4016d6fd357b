"""The public page: whether a certificate number stands, and whether a file is that certificate."""

from typing import Any

from flask import Response, jsonify, make_response, request

from service.api.auth import context
from service.api.blueprint import Blueprint, public
from service.documents import verification
from service.usecases import certificates

blp = Blueprint(
    "verification", __name__, url_prefix="/verify", description="For whoever holds a certificate."
)


@blp.route("/<string:number>", methods=["GET"])
@public
def read(number: str) -> Any:
    """The page, or JSON for whoever accepts that first."""
    standing = certificates.standing(context(), number)
    best = request.accept_mimetypes.best_match(["text/html", "application/json"], default="application/json")
    if best == "application/json":
        return jsonify(standing)
    return _page(verification.html(standing))


def _page(html: str) -> Response:
    response = make_response(html)
    response.headers["Content-Security-Policy"] = verification.POLICY
    return response
