"""Practice profiles: what the firm works by."""

from typing import Any
from uuid import UUID

from schemas.practice import AddedPractice, AdoptionBody, PracticeBody, Practices
from service.api import changes
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import practice
from service.usecases.work import adoptions

blp = Blueprint("practice", __name__, url_prefix="/v1/practice", description="Practice profiles, by version.")


@blp.route("", methods=["GET"])
@needs("sales", "installer", "signatory", "office")
@blp.response(200, Practices)
def listed() -> Any:
    """Every version, oldest first."""
    return practice.listed(context())


@blp.route("", methods=["POST"])
@needs("office")
@blp.arguments(PracticeBody)
@blp.response(201, AddedPractice)
def add(body: dict[str, Any]) -> Any:
    """Add a version, in force from a day; older ones stay."""
    return practice.add(context(), body)


@blp.route("/<code:code>/adoptions", methods=["POST"])
@needs("office")
@blp.arguments(AdoptionBody)
@blp.response(201, AddedPractice)
def adopt(body: adoptions.AdoptionBody, code: str) -> Any:
    """Adopt what parts of an element took of what was planned: bags are ordered by it from a day on.

    The row that is added says what it rests on. Refused where fewer than ten certified jobs say it.
    """
    return adoptions.adopt(context(), code, body)


@blp.route("/<code:code>", methods=["PATCH"])
@blp.doc(**changes.BODY)
@needs("office")
@changes.takes_changes
@blp.response(201, AddedPractice)
def change(code: str) -> Any:
    """Add a version: as the one in force on its day, but for what is sent; rows are found by their codes."""
    change = changes.sent(PracticeBody())
    last = practice.last(context(), code, changes.day_of(change))
    return practice.change(context(), changes.changed(PracticeBody(), last, change), UUID(last["id"]))
