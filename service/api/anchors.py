"""Anchors: where the firm's chains ended each day, for whoever keeps it elsewhere."""

from contextlib import suppress
from typing import Any

from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import attached
from service.engine.ground.messages import message
from service.engine.ground.rfc3339 import read_day
from service.errors import NotKnown
from service.usecases.keeping import daily_anchors

blp = Blueprint(
    "anchors", __name__, url_prefix="/v1/anchors", description="Where the firm's chains ended, day by day."
)


@blp.route("", methods=["GET"])
@needs("office")
@blp.response(200, daily_anchors.KeptAnchors)
def listed() -> Any:
    """The anchors that the service made, one a day: fetch each, and keep it where nobody can change it."""
    return daily_anchors.listed(context())


@blp.route("/<string:day>", methods=["GET"])
@needs("office")
@blp.response(200, content_type="application/json", schema={"type": "object"})
def file(day: str) -> Any:
    """The anchor of a day as a file that may be handed to anybody: it tells no client."""
    with suppress(ValueError):
        return attached(
            daily_anchors.file(context(), read_day(day)), "application/json", f"anchor-{day}.json"
        )
    raise NotKnown(message("keeping.no_anchor_of_day", day=day))
