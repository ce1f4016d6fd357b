"""What becomes of a supplement: offered, accepted, refused, withdrawn, or taken over by the office."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import SupplementState
from service.engine.plan.price import Price
from service.errors import Conflict, Fault, InvalidInput, NotAllowed, Stale
from service.store import files
from service.store.row_types import Job
from service.usecases.base.context import Context, loads, refuse_repeated, writes
from service.usecases.base.outbox import queue
from service.usecases.work import agreed, jobs, proposals
from service.usecases.work.accepted import Declined, Said, accepted_by, keep, refused_by
from service.usecases.work.agreed import Agreements, Supplement
from service.usecases.work.proposals import Known
from service.usecases.work.quote_states import Versions, must_be_surveyed
from service.usecases.work.states import restate
from service.usecases.work.supplement_answers import SEES_PRICES
from service.usecases.work.supplements import found, known, shown, take

PROPOSED, OFFERED = SupplementState.PROPOSED, SupplementState.OFFERED
REFUSED, WITHDRAWN = SupplementState.REFUSED, SupplementState.WITHDRAWN


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """By what a supplement is offered: a price for each of its own lines, and how long the offer holds."""

    unit_prices: Sequence[Decimal] = ()
    valid_days: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """A supplement whose job is locked."""

    job: Job
    agreements: Agreements
    it: Supplement


def offer(
    context: Context, job_id: UUID, supplement_id: UUID, terms: Terms, seen: Versions | None
) -> Mapping[str, Any]:
    """Price a supplement, or one that is offered anew, give it its validity, and make its document."""
    there = _to_offer(context, job_id, supplement_id, terms, seen)
    it = found(there.agreements, supplement_id)
    price = proposals.price(there, it, proposals.priced(it, terms.unit_prices))
    offered: Mapping[str, Any] = _offer(context, job_id, supplement_id, terms, there, price)
    return offered


@loads
def _to_offer(
    connection: Connection,
    context: Context,
    job_id: UUID,
    supplement_id: UUID,
    terms: Terms,
    seen: Versions | None,
) -> Known:
    job = jobs.found(connection, context, job_id)
    refuse_repeated(connection, context)
    there = known(connection, job)
    it = found(there.agreements, supplement_id)
    _must_be(it, (PROPOSED, OFFERED), "offered")
    _must_be_seen(it, seen)
    must_be_surveyed([row for row in there.added if row["supplement_id"] == supplement_id])
    if len(terms.unit_prices) != len(it.row["lines"]):
        wanted = message("supplements.prices_wanted", lines=len(it.row["lines"]))
        raise InvalidInput(Fault("/unit_prices", wanted))
    return there


@writes
def _offer(
    connection: Connection,
    context: Context,
    job_id: UUID,
    supplement_id: UUID,
    terms: Terms,
    there: Known,
    price: Price,
) -> Mapping[str, Any]:
    held = _held(connection, context, job_id, supplement_id)
    if held.agreements.versions != there.agreements.versions:
        raise Stale(message("supplements.changed_meanwhile"))
    days = terms.valid_days or there.quote["basis"]["price_list"]["valid_days"]
    data = {
        "price": price,
        "unit_prices": list(terms.unit_prices),
        "valid_until": context.now.date() + timedelta(days=days),
        "rests_on": [each.id for each in held.agreements.accepted],
    }
    step_id = take(
        connection, context, held.job, supplement_id, position=held.it.version + 1, kind="offer", data=data
    )
    queue(connection, context, "supplement", step_id)
    return shown(connection, context, held.job, supplement_id)


@writes
def accept(
    connection: Connection,
    context: Context,
    job_id: UUID,
    supplement_id: UUID,
    said: Mapping[str, str],
    seen: Versions | None,
) -> Mapping[str, Any]:
    """Accept an offered supplement as the client told the office; refused after its validity."""
    held = _held(connection, context, job_id, supplement_id)
    must_be_acceptable(held.it, held.agreements, context)
    _must_be_seen(held.it, seen)
    named = offer_of(held.it)
    document_sha256 = files.digest_of(connection, kind="supplement", owner_id=named)
    kept = Said(
        by="office", accepted_by=said["accepted_by"], how=said["how"], document_sha256=document_sha256
    )
    accepted(connection, context, held.job, held.it, kept)
    return shown(connection, context, held.job, supplement_id)


def must_be_acceptable(it: Supplement, agreements: Agreements, context: Context) -> None:
    """Refuse to accept what is not offered any more, or was priced for another job than there is now."""
    must_be_offered(it, "accepted")
    offer = it.last("offer")
    assert offer is not None
    if date.fromisoformat(offer["data"]["valid_until"]) < context.now.date():
        raise Conflict(message("supplements.lapsed", day=date.fromisoformat(offer["data"]["valid_until"])))
    if offer["data"]["rests_on"] != [str(each.id) for each in agreements.accepted]:
        raise Conflict(message("supplements.price_outdated", supplement=it.number))
    _must_leave_out_what_is_there(it, agreements)


def _must_leave_out_what_is_there(it: Supplement, agreements: Agreements) -> None:
    """Refuse to leave out what was begun, or is left out by another supplement already."""
    if recorded := sorted(agreements.named & set(it.row["dropped"])):
        raise Conflict(message("supplements.recorded_since", part=recorded[0]))
    for part in it.row["dropped"]:
        if (by := agreements.dropped.get(part, it)).id != it.id:
            raise Conflict(message("supplements.left_out_already", part=part, supplement=by.number))


def accepted(
    connection: Connection, context: Context, job: Job, it: Supplement, said: Said
) -> dict[str, Any]:
    """Keep that a supplement was accepted, by whom and how; its job is locked."""
    named = offer_of(it)
    kept = keep(connection, context, said, kind="supplement", owner_id=named, quote_id=job["quote_id"])
    take(connection, context, job, it.id, position=it.version + 1, kind="acceptance", data={"offer": named})
    restate(connection, job)
    return accepted_by(kept)


def must_be_offered(it: Supplement, to_be: str) -> None:
    """Refuse to answer for a client to what he is not offered, or not any more."""
    _must_be(it, (OFFERED,), to_be)


def declined(connection: Connection, context: Context, held: Held, said: Declined) -> dict[str, Any]:
    """Keep that a client refused a supplement by his link; its job is locked."""
    named, job = offer_of(held.it), held.job
    kept = keep(connection, context, said, kind="refusal", owner_id=named, quote_id=job["quote_id"])
    position = held.it.version + 1
    take(connection, context, job, held.it.id, position=position, kind="refusal", data={"offer": named})
    restate(connection, job)
    return refused_by(kept)


@writes
def refuse(
    connection: Connection,
    context: Context,
    job_id: UUID,
    supplement_id: UUID,
    reason: str | None,
    seen: Versions | None,
) -> Mapping[str, Any]:
    """Keep that the client refused an offered supplement."""
    held = _held(connection, context, job_id, supplement_id)
    must_be_offered(held.it, "refused")
    _must_be_seen(held.it, seen)
    return _step(connection, context, held, "refusal", {"reason": reason})


@writes
def withdraw(
    connection: Connection,
    context: Context,
    job_id: UUID,
    supplement_id: UUID,
    reason: str | None,
    seen: Versions | None,
) -> Mapping[str, Any]:
    """Take back a supplement that was not accepted; on site only what nobody has offered yet."""
    held = _held(connection, context, job_id, supplement_id)
    _must_be(held.it, (PROPOSED, OFFERED), "withdrawn")
    _must_be_seen(held.it, seen)
    assert context.caller is not None
    if held.it.state is OFFERED and not context.caller.roles & SEES_PRICES:
        raise NotAllowed(message("supplements.offered_already"))
    return _step(connection, context, held, "withdrawal", {"reason": reason})


@writes
def take_over(
    connection: Connection,
    context: Context,
    job_id: UUID,
    supplement_id: UUID,
    said: Mapping[str, str],
    seen: Versions | None,
) -> Mapping[str, Any]:
    """Let the parts of a supplement be certified that the client has not accepted, with a reason."""
    held = _held(connection, context, job_id, supplement_id)
    if held.it.is_agreed:
        raise Conflict(message("supplements.agreed_already", supplement=held.it.number))
    _must_be_seen(held.it, seen)
    _must_leave_out_what_is_there(held.it, held.agreements)
    return _step(connection, context, held, "takeover", {"by": said["by"], "reason": said["reason"]})


def _held(connection: Connection, context: Context, job_id: UUID, supplement_id: UUID) -> Held:
    job = jobs.found(connection, context, job_id, lock=True)
    jobs.must_be_open(job)
    return held(connection, job, supplement_id)


def held(connection: Connection, job: Job, supplement_id: UUID) -> Held:
    """A supplement of a job that is locked."""
    agreements = agreed.of_quote(connection, job["quote_id"])
    return Held(job=job, agreements=agreements, it=found(agreements, supplement_id))


def _step(
    connection: Connection, context: Context, held: Held, kind: str, data: Mapping[str, Any]
) -> Mapping[str, Any]:
    take(connection, context, held.job, held.it.id, position=held.it.version + 1, kind=kind, data=data)
    restate(connection, held.job)
    return shown(connection, context, held.job, held.it.id)


def offer_of(it: Supplement) -> UUID:
    """The last offer of a supplement that was offered."""
    offer = it.last("offer")
    assert offer is not None
    return offer["id"]


def _must_be(it: Supplement, states: Collection[SupplementState], to_be: str) -> None:
    if it.state not in states:
        raise Conflict(message(f"supplements.not_to_be_{to_be}", state=it.state))


def _must_be_seen(it: Supplement, seen: Versions | None) -> None:
    if seen is not None and it.version not in seen:
        raise Stale(message("supplements.changed_meanwhile"))
