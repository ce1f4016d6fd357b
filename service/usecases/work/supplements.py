"""Supplements: what came up on the way, proposed by who is on site, and worked out by the quote's basis.

Its parts can be recorded of at once. What a supplement costs is the job with it less the job before;
nobody on site sees it.
"""

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any
from uuid import UUID

import rfc8785
from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.messages import message
from service.engine.survey.build_up import BuildUp
from service.errors import Conflict, Fault, InvalidInput, NotKnown, Unavailable
from service.store import acceptances, quotes, supplements
from service.store.row_types import Job, SupplementLine
from service.usecases.base.context import NOBODY, Context, loads, reads, refuse_repeated, writes
from service.usecases.base.json import to_json
from service.usecases.base.seals import of_rows, of_supplement, seal
from service.usecases.work import agreed, jobs, proposals, ready
from service.usecases.work.accepted import refused_by
from service.usecases.work.agreed import Agreements, Supplement
from service.usecases.work.basis import named_build_ups
from service.usecases.work.bodies import SupplementBody
from service.usecases.work.parts import whole
from service.usecases.work.proposals import Known, Proposed
from service.usecases.work.supplement_answers import answer

TRIES = 3
"""How often a proposal is worked out anew, because another one came in between."""


class _Moved(Exception):
    """Something came in between that the proposal was worked out without."""


def propose(context: Context, job_id: UUID, body: SupplementBody) -> Mapping[str, Any]:
    """Keep a proposal and work it out; the same once more is the same, another under its id a Conflict."""
    if not any(body.get(name) for name in ("cavities", "counts", "lines")):
        raise InvalidInput(Fault("", message("supplements.empty")))
    there: Mapping[str, Any] | None = _there(context, job_id, body)
    if there:
        return there
    for _ in range(TRIES):
        known = _known(context, job_id, body)
        proposed = proposals.worked_out(known, body, context.settings)
        try:
            kept: Mapping[str, Any] = _keep(context, job_id, body, known, proposed)
        except _Moved:
            continue
        return kept
    raise Unavailable(message("supplements.busy"))


@reads
def _there(
    connection: Connection, context: Context, job_id: UUID, body: SupplementBody
) -> Mapping[str, Any] | None:
    job = jobs.found(connection, context, job_id)
    refuse_repeated(connection, context)
    there = agreed.of_quote(connection, job["quote_id"]).by_id.get(body["id"])
    return _same(connection, context, there, body) if there else None


@loads
def _known(connection: Connection, context: Context, job_id: UUID, body: SupplementBody) -> Known:
    job = jobs.found(connection, context, job_id)
    built = named_build_ups(
        connection, firm_id=job["firm_id"], cavities=body.get("cavities", []), on=context.now.date()
    )
    return known(connection, job, built)


def known(connection: Connection, job: Job, build_ups: tuple[BuildUp, ...] = ()) -> Known:
    """What a supplement of a job is worked out from."""
    quote = jobs.quote_of(connection, job)
    ever = whole(connection, quote["id"], ever=True)
    return Known(
        quote=quote,
        quoted=quotes.cavities_of(connection, quote["id"]),
        added=supplements.cavities_of(connection, job["id"]) if ever.agreements.supplements else [],
        ever=ever,
        named=agreed.named(connection, job["id"]),
        build_ups=build_ups,
    )


@writes
def _keep(
    connection: Connection,
    context: Context,
    job_id: UUID,
    body: SupplementBody,
    known: Known,
    proposed: Proposed,
) -> Mapping[str, Any]:
    job = jobs.found(connection, context, job_id, lock=True)
    agreements = agreed.of_quote(connection, job["quote_id"])
    if there := agreements.by_id.get(body["id"]):
        return _same(connection, context, there, body)
    jobs.must_be_open(job)
    _must_be_as_it_was(connection, job, agreements, known, proposed)
    _add(connection, context, job, _row(context, job, body, agreements, proposed), proposed)
    return shown(connection, context, job, body["id"])


def _must_be_as_it_was(
    connection: Connection, job: Job, agreements: Agreements, known: Known, proposed: Proposed
) -> None:
    recorded = agreed.named(connection, job["id"]) if proposed.dropped else frozenset()
    if agreements.versions != known.ever.agreements.versions or recorded & set(proposed.dropped):
        raise _Moved


def _same(
    connection: Connection, context: Context, there: Supplement, body: SupplementBody
) -> Mapping[str, Any]:
    if there.row["sent_sha256"] != _digest(body):
        raise Conflict(message("supplements.says_something_else", supplement=there.number))
    return _answer(connection, context, there, _lines(connection, there))


def _row(
    context: Context, job: Job, body: SupplementBody, agreements: Agreements, proposed: Proposed
) -> dict[str, Any]:
    assert context.caller is not None
    serial = len(agreements.supplements) + 1
    return {
        "id": body["id"],
        "firm_id": job["firm_id"],
        "job_id": job["id"],
        "serial": serial,
        "number": f"{job['number']}-S{serial}",
        "by": body["by"],
        "remark": body.get("remark"),
        "counts": to_json(proposed.counts),
        "dropped": list(proposed.dropped),
        "lines": to_json(body.get("lines", [])),
        "hold_points": to_json(proposed.hold_points),
        "summary": to_json(proposed.more),
        "sent_sha256": _digest(body),
        "proposed_at": context.now,
        "key_id": context.caller.key_id,
    }


def _add(
    connection: Connection, context: Context, job: Job, row: Mapping[str, Any], proposed: Proposed
) -> None:
    owned = {"firm_id": job["firm_id"], "job_id": job["id"], "supplement_id": row["id"]}
    cavities = [{**owned, "position": place, **each} for place, each in enumerate(proposed.cavities)]
    supplements.add(connection, row, cavities)
    seal(connection, job["quote_id"], of_supplement(row, cavities))
    take(connection, context, job, row["id"], position=1, kind="proposal", data={})


def take(
    connection: Connection,
    context: Context,
    job: Job,
    supplement_id: UUID,
    *,
    position: int,
    kind: str,
    data: Mapping[str, Any],
) -> UUID:
    """Add a step of a supplement, whose job is locked, and seal it; returns the step's id."""
    assert context.caller is not None
    step_id = uuid7()
    step = {
        "id": step_id,
        "firm_id": job["firm_id"],
        "job_id": job["id"],
        "supplement_id": supplement_id,
        "position": position,
        "kind": kind,
        "data": to_json(data),
        "taken_at": context.now,
        "key_id": None if context.caller.key_id == NOBODY else context.caller.key_id,
    }
    supplements.take(connection, step)
    seal(connection, job["quote_id"], of_rows("supplement_step", [step]))
    ready.let_look(connection, context, job["id"])
    return step_id


@reads
def listed(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job's supplements, in the order they were proposed."""
    job = jobs.found(connection, context, job_id)
    found = agreed.of_quote(connection, job["quote_id"]).supplements
    lines = supplements.lines_of(connection, [job_id])
    return {"items": [_answer(connection, context, each, _of(each, lines)) for each in found]}


@reads
def read(connection: Connection, context: Context, job_id: UUID, supplement_id: UUID) -> Mapping[str, Any]:
    """A supplement of a job."""
    return shown(connection, context, jobs.found(connection, context, job_id), supplement_id)


def shown(connection: Connection, context: Context, job: Job, supplement_id: UUID) -> Mapping[str, Any]:
    """A supplement as it is answered to the caller."""
    each = found(agreed.of_quote(connection, job["quote_id"]), supplement_id)
    return _answer(connection, context, each, _lines(connection, each))


def _answer(
    connection: Connection, context: Context, each: Supplement, lines: Iterable[SupplementLine]
) -> Mapping[str, Any]:
    """As it is answered; what a client said who refused it by his link is erased with him, and so apart."""
    offer = each.last("offer") if each.is_refused else None
    said = acceptances.of(connection, offer["id"]) if offer else None
    return answer(each, lines, context, refused_by(said)) if said else answer(each, lines, context)


def found(agreements: Agreements, supplement_id: UUID) -> Supplement:
    """A supplement of a job; raises NotKnown when there is none."""
    if supplement_id not in agreements.by_id:
        raise NotKnown(message("supplements.not_known"))
    return agreements.by_id[supplement_id]


def _lines(connection: Connection, each: Supplement) -> list[SupplementLine]:
    return _of(each, supplements.lines_of(connection, [each.row["job_id"]]))


def _of(each: Supplement, lines: Iterable[SupplementLine]) -> list[SupplementLine]:
    return [line for line in lines if line["supplement_id"] == each.id]


def _digest(body: SupplementBody) -> str:
    return hashlib.sha256(rfc8785.dumps(to_json(body))).hexdigest()
