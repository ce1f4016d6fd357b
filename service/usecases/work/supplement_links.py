"""The supplements that a client finds behind the link to his quote: those that were offered to him."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.vocabulary import SupplementState
from service.store import acceptances, files, jobs
from service.usecases.work import agreed
from service.usecases.work.accepted import accepted_by, refused_by
from service.usecases.work.agreed import Supplement

LAPSED = "lapsed"


def view(connection: Connection, quote_id: UUID, today: date) -> list[dict[str, Any]]:
    """What the page shows of each, in the order they were proposed."""
    return list(_views(connection, quote_id, today))


def _views(connection: Connection, quote_id: UUID, today: date) -> Iterator[dict[str, Any]]:
    job = jobs.of_quote(connection, quote_id)
    if job is None:
        return
    for each in agreed.of_quote(connection, quote_id).supplements:
        if offer := each.last("offer"):
            said = acceptances.of(connection, offer["id"])
            yield {
                "id": each.id,
                "number": each.number,
                "state": state_on(each, offer["data"], today, closed=job["state"] == "closed"),
                "valid_until": date.fromisoformat(offer["data"]["valid_until"]),
                "total": offer["data"]["price"]["total"],
                "currency": offer["data"]["price"]["currency"],
                "document_sha256": files.digest_of(connection, kind="supplement", owner_id=offer["id"]),
                "acceptance": accepted_by(said) if said and each.is_accepted else None,
                "refusal": refused_by(said) if said and not each.is_accepted else None,
            }


def state_on(supplement: Supplement, offered: Mapping[str, Any], today: date, *, closed: bool = False) -> str:
    """The state of an offered supplement on a day: it lapses by itself, and when its job is closed."""
    offered_still = supplement.state is SupplementState.OFFERED
    lapsed = offered_still and (closed or date.fromisoformat(offered["valid_until"]) < today)
    return LAPSED if lapsed else supplement.state.value
