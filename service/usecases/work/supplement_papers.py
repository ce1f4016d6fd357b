"""The document of a supplement's offer: asked for, and made."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.documents.papers import supplement as document
from service.engine.ground.messages import message
from service.engine.survey.cavity import Cavity
from service.errors import Conflict, NotKnown
from service.store import supplements
from service.usecases.base.context import Context, loads
from service.usecases.base.json import but_workings, from_json
from service.usecases.work import agreed, jobs, rendering
from service.usecases.work.quote_papers import facts_of, in_full
from service.usecases.work.supplement_answers import told
from service.usecases.work.supplement_offers import offer_of
from service.usecases.work.supplements import found


def file(context: Context, job_id: UUID, supplement_id: UUID) -> Mapping[str, Any] | rendering.Awaited:
    """The document of a supplement's last offer as it is stored, or what it waits for."""
    quote_id, offer_id = _offered(context, job_id, supplement_id)
    return rendering.asked_for(context, "supplement", offer_id, client_of=quote_id)


@loads
def _offered(
    connection: Connection, context: Context, job_id: UUID, supplement_id: UUID
) -> tuple[UUID, UUID]:
    job = jobs.found(connection, context, job_id)
    it = found(agreed.of_quote(connection, job["quote_id"]), supplement_id)
    if it.last("offer") is None:
        raise Conflict(message("supplements.not_offered"))
    return job["quote_id"], offer_of(it)


def pdf(context: Context, offer_id: UUID) -> Mapping[str, Any]:
    """The document of an offer of a supplement, made and stored; a worker's to call."""
    facts = _facts(context, offer_id)
    return rendering.made_once(
        context,
        "supplement",
        offer_id,
        lambda: document.pdf(in_full(facts)),
        client_of=UUID(facts["quote_id"]),
    )


@loads
def _facts(connection: Connection, context: Context, offer_id: UUID) -> Mapping[str, Any]:
    offer = supplements.step(connection, firm_id=context.firm_id, step_id=offer_id)
    if offer is None:
        raise NotKnown(message("supplements.not_known"))
    job = jobs.found(connection, context, offer["job_id"])
    it = found(agreed.of_quote(connection, job["quote_id"]), offer["supplement_id"])
    rows = [row for row in supplements.cavities_of(connection, job["id"]) if row["supplement_id"] == it.id]
    lines = [line for line in supplements.lines_of(connection, [job["id"]]) if line["supplement_id"] == it.id]
    facts = facts_of(connection, jobs.quote_of(connection, job), as_offered=True)
    said = {
        **facts,
        "quote_id": job["quote_id"],
        "quote_number": facts["number"],
        "number": it.number,
        "offered_at": offer["taken_at"],
        "valid_until": offer["data"]["valid_until"],
        "supplement": told(it, lines),
        "cavities": [from_json(Cavity, row["surveyed"]) for row in rows],
        "takeoff": {
            **facts["takeoff"],
            **it.row["summary"],
            "price": offer["data"]["price"],
            "hold_points": it.row["hold_points"],
            "cavities": [row["planned"] for row in rows],
        },
    }
    return but_workings(said)
