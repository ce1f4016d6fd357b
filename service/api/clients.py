"""Client links, and the page that one opens."""

from http import HTTPStatus
from typing import Any
from uuid import UUID

from flask import Response, make_response, redirect, request

from schemas.links import Link, LinkBody, Links
from schemas.quotes import (
    Acceptance,
    ClientAcceptanceBody,
    ClientQuoteAcceptanceBody,
    ClientRefusalBody,
    Refusal,
)
from service.api import problems, spoken
from service.api.auth import context
from service.api.blueprint import Blueprint, needs, public
from service.api.conditional import pdf
from service.documents.web import client_page
from service.engine.ground.messages import Message, message
from service.errors import BaywrightError, Conflict, Erased, InvalidInput, NotKnown
from service.usecases.work import acceptances, client_supplements, links
from service.usecases.work.rendering import Awaited

ANSWERING = ("clients.accept", "clients.accept_supplement", "clients.refuse_supplement")
"""What a page's form asks for: its refusals are shown on the page."""

blp = Blueprint("clients", __name__, description="For the client of a firm.")


@blp.route("/v1/quotes/<uuid:quote_id>/links", methods=["GET"])
@needs("sales", "office")
@blp.response(200, Links)
def to_quote(quote_id: UUID) -> Any:
    """The links in force to an offer, by which each can be revoked."""
    return links.listed(context(), "quote", quote_id)


@blp.route("/v1/quotes/<uuid:quote_id>/links", methods=["POST"])
@needs("sales", "office")
@blp.arguments(LinkBody)
@blp.response(201, Link)
def of_quote(body: dict[str, Any], quote_id: UUID) -> Any:
    """Make a link that opens an offer."""
    return links.create(context(), "quote", quote_id, body["days"])


@blp.route("/v1/certificates/<uuid:certificate_id>/links", methods=["GET"])
@needs("sales", "office")
@blp.response(200, Links)
def to_certificate(certificate_id: UUID) -> Any:
    """The links in force to a certificate, by which each can be revoked."""
    return links.listed(context(), "certificate", certificate_id)


@blp.route("/v1/certificates/<uuid:certificate_id>/links", methods=["POST"])
@needs("sales", "office")
@blp.arguments(LinkBody)
@blp.response(201, Link)
def of_certificate(body: dict[str, Any], certificate_id: UUID) -> Any:
    """Make a link that opens a certificate."""
    return links.create(context(), "certificate", certificate_id, body["days"])


@blp.route("/v1/links/<uuid:link_id>", methods=["DELETE"])
@needs("sales", "office")
@blp.response(204)
def revoke(link_id: UUID) -> None:
    """Close a link before it expires."""
    links.revoke(context(), link_id)


@blp.route("/clients/<string:token>", methods=["GET"])
@public
def page(token: str) -> Any:
    """The client's page: what it is, whether it stands, and the file."""
    return _page(client_page.html(links.opened(context(), token), token))


@blp.route("/clients/<string:token>/document", methods=["GET"])
@public
def document(token: str) -> Any:
    """The file that the link opens; while it is being made, for people a page that looks again by itself."""
    file = links.file(context(), token)
    return _being_made(file) if isinstance(file, Awaited) and _for_people() else pdf(file)


def _being_made(file: Awaited) -> Response:
    response = _page(client_page.awaited(language=spoken.asked_for()))
    response.status_code = HTTPStatus.ACCEPTED
    for name in ("Retry-After", "Refresh"):
        response.headers[name] = str(file.retry_after_s)
    response.vary.update(("Accept", "Accept-Language"))
    return response


@blp.route("/clients/<string:token>/acceptance", methods=["POST"])
@public
@blp.arguments(ClientQuoteAcceptanceBody, location="json_or_form")
@blp.response(201, Acceptance)
def accept(body: dict[str, Any], token: str) -> Any:
    """The client accepts what the link offers; it becomes a job once, however often this is sent.

    A page's form may send it too: it is led back to the page.
    """
    accepted = acceptances.by_client(context(), token, acceptances.Shown(**body))
    return redirect(f"/clients/{token}", 303) if _for_people() else accepted


@blp.route("/clients/<string:token>/supplements/<uuid:supplement_id>/document", methods=["GET"])
@public
def supplement_document(token: str, supplement_id: UUID) -> Any:
    """The document of a supplement that was offered."""
    file = client_supplements.file(context(), token, supplement_id)
    return _being_made(file) if isinstance(file, Awaited) and _for_people() else pdf(file)


@blp.route("/clients/<string:token>/supplements/<uuid:supplement_id>/acceptance", methods=["POST"])
@public
@blp.arguments(ClientAcceptanceBody, location="json_or_form")
@blp.response(201, Acceptance)
def accept_supplement(body: dict[str, Any], token: str, supplement_id: UUID) -> Any:
    """The client accepts a supplement of his job, once, however often this is sent.

    A page's form may send it too: it is led back to the page.
    """
    shown = acceptances.Shown(**body)
    accepted = client_supplements.accept(context(), token, supplement_id, shown)
    return redirect(f"/clients/{token}", 303) if _for_people() else accepted


@blp.route("/clients/<string:token>/supplements/<uuid:supplement_id>/refusal", methods=["POST"])
@public
@blp.arguments(ClientRefusalBody, location="json_or_form")
@blp.response(201, Refusal)
def refuse_supplement(body: dict[str, Any], token: str, supplement_id: UUID) -> Any:
    """The client refuses a supplement of his job, once, however often this is sent.

    A page's form may send it too: it is led back to the page.
    """
    reason, shown = body.pop("reason", None), acceptances.Shown(**body)
    refused = client_supplements.refuse(context(), token, supplement_id, shown, reason)
    return redirect(f"/clients/{token}", 303) if _for_people() else refused


@blp.errorhandler(Conflict)
@blp.errorhandler(InvalidInput)
def refused(error: Conflict | InvalidInput) -> Response:
    """For people who sent the page's form the page again, with what is wrong; else a problem."""
    response = problems.from_ours(error)
    if request.endpoint not in ANSWERING or not _for_people():
        return response
    assert request.view_args is not None
    token = request.view_args["token"]
    page = _page(client_page.html(links.opened(context(), token), token, refused=_told(error)))
    page.status_code = response.status_code
    return page


def _told(error: Conflict | InvalidInput) -> Message:
    """What the page says was wrong: in its form a reader can leave out a choice, or his name."""
    if isinstance(error, Conflict):
        said = error.detail
    else:
        said = next((each.detail for each in error.faults if each.pointer == "/option"), "")
    return said if isinstance(said, Message) else message("links.name_missing")


@blp.errorhandler(NotKnown)
@blp.errorhandler(Erased)
def closed(error: BaywrightError) -> Response:
    """For people a page as well: they clicked on something in a letter. Whoever has a key is a program."""
    response = problems.from_ours(error)
    if "Authorization" in request.headers:
        return response
    if _for_people():
        page = _page(client_page.closed(erased=isinstance(error, Erased), language=spoken.asked_for()))
        page.status_code, response = response.status_code, page
        response.vary.add("Accept-Language")
    response.vary.add("Accept")
    return response


def _for_people() -> bool:
    accepted = request.accept_mimetypes
    return accepted["text/html"] > accepted[problems.CONTENT_TYPE]


def _page(html: str) -> Response:
    response = make_response(html)
    response.headers["Content-Security-Policy"] = client_page.POLICY
    return response
