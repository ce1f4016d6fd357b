"""The client's page: what the link opens, whether it stands, and the file."""

from collections.abc import Mapping
from typing import Any

from service.documents.papers import certificate
from service.documents.web.outcome import flawed, lines
from service.documents.web.pages import page, policy, style

STYLE = style("verification.css")
POLICY = policy(STYLE)


def html(opened: Mapping[str, Any], token: str) -> str:
    """The page of a link; `token` leads on to the file. A certificate's parts stand on it at a glance."""
    record = opened.get("record")
    parts = certificate.glance(record) if record else []
    told = lines(opened) if "outcome" in opened else []
    return page(
        "client.html", it=opened, parts=parts, told=told, flawed=flawed(told), token=token, style=STYLE
    )


def closed(*, erased: bool) -> str:
    """The page of a link that opens nothing, or whose document was erased."""
    return page("closed.html", erased=erased, style=STYLE)
