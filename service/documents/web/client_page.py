"""The client's page: what the link opens, whether it stands, what to do, whom to ask, and the file."""

from collections.abc import Mapping
from typing import Any

from service.documents.papers import certificate
from service.documents.web.outcome import outcome
from service.documents.web.pages import page, policy, style
from service.documents.wording.formats import Units
from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message

STYLE = style("verification.css")
POLICY = policy(STYLE, form=True)


def html(opened: Mapping[str, Any], token: str, refused: Message | None = None) -> str:
    """The page of a link in the language of the quote; `token` leads on to the file.

    `refused` says why what was sent from it could not be done.

    A certificate's parts stand on it at a glance, those with faults first.
    """
    units = Units.of(opened)
    record = opened.get("record")
    return page(
        "client.html",
        units,
        it=opened,
        firm=opened["firm"],
        dial=_dial(opened["firm"]["phone"]),
        parts=certificate.glance(record) if record else [],
        told=outcome(opened, units) if "outcome" in opened else None,
        token=token,
        refused=in_words(refused, units) if refused else None,
        style=STYLE,
    )


def closed(*, erased: bool, language: str) -> str:
    """The page of a link that opens nothing, or whose document was erased."""
    return page("closed.html", Units("eu", language), erased=erased, style=STYLE)


def awaited(*, language: str) -> str:
    """The page in the place of a document that is not there yet."""
    return page("awaited.html", Units("eu", language), style=STYLE)


def _dial(phone: str) -> str:
    """What a telephone dials: the digits, with a plus sign before them where there is one (RFC 3966)."""
    digits = "".join(filter(str.isdecimal, phone))
    return f"+{digits}" if phone.lstrip().startswith("+") else digits
