"""Events: what happened, for those who would rather ask than be called, or missed something."""

from typing import Any

from schemas.events import EventQuery
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.paging import next_link
from service.usecases.base import events

blp = Blueprint("events", __name__, url_prefix="/v1/events", description="What happened, in order.")


@blp.route("", methods=["GET"])
@needs("sales", "office")
@blp.arguments(EventQuery, location="query")
@blp.response(200, events.EventPage, headers_of=next_link)
def listed(query: dict[str, Any]) -> Any:
    """Events after a position, in the order of commit: none ever comes before one that was seen."""
    return events.listed(context(), query["after"], query["limit"])
