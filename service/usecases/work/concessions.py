"""Concessions: what the office grants for a condition that is not met, with a reason that is printed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import ConditionCode
from service.engine.site.condition import Condition
from service.errors import Conflict, Fault, InvalidInput
from service.store import concessions
from service.store.row_types import Concession
from service.usecases.base.context import Context, loads, refuse_repeated, writes
from service.usecases.base.json import to_json
from service.usecases.base.seals import of_rows, seal
from service.usecases.work import jobs, ready
from service.usecases.work.assessments import Evidence, assessed, concession_of, evidence_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is asked for: a condition by its code, its cavity (none: of the whole job) and its subject.

    Without a subject it is for every subject of this code in the cavity that is unmet now, and no later one.
    """

    condition: ConditionCode
    cavity: str | None = None
    subject: str | None = None
    reason: str
    granted_by: str


def grant(context: Context, job_id: UUID, asked: Asked) -> Mapping[str, Any]:
    """Grant a concession; raises InvalidInput where nothing such is unmet, Conflict where it must be met."""
    found = _named(assessed(_evidence(context, job_id)).unmet, asked)
    if not all(condition.concedable for condition in found):
        raise Conflict(message("concessions.must_be_met", condition=asked.condition))
    granted: Mapping[str, Any] = _grant(context, job_id, asked, found)
    return granted


@loads
def _evidence(connection: Connection, context: Context, job_id: UUID) -> Evidence:
    job = jobs.found(connection, context, job_id)
    refuse_repeated(connection, context)
    jobs.must_be_open(job)
    return evidence_of(connection, job)


@writes
def _grant(
    connection: Connection, context: Context, job_id: UUID, asked: Asked, found: Sequence[Condition]
) -> Mapping[str, Any]:
    # What was met in the meantime is conceded in vain, and no certificate will name it.
    job = jobs.found(connection, context, job_id, lock=True)
    jobs.must_be_open(job)
    assert context.caller is not None
    row: Concession = {
        "id": uuid7(),
        "firm_id": job["firm_id"],
        "job_id": job_id,
        "condition": asked.condition.value,
        "cavity": found[0].cavity,
        "subjects": sorted({condition.subject for condition in found}),
        "reason": asked.reason,
        "granted_by": asked.granted_by,
        "granted_at": context.now,
        "key_id": context.caller.key_id,
    }
    concessions.add(connection, row)
    seal(connection, job["quote_id"], of_rows("concession", [row]))
    ready.let_look(connection, context, job_id)
    answer: Mapping[str, Any] = to_json(concession_of(row))
    return answer


def _named(conditions: Sequence[Condition], asked: Asked) -> list[Condition]:
    """The unmet conditions that are meant: all of one cavity, or all of the whole job."""
    found = [
        each for each in conditions if each.code is asked.condition and asked.subject in (None, each.subject)
    ]
    cavities = {each.cavity for each in found}
    # A subject may say by itself which cavity is meant.
    by_subject = asked.cavity is None and asked.subject is not None and len(cavities) == 1
    cavity = next(iter(cavities)) if by_subject else asked.cavity
    found = [each for each in found if each.cavity == cavity]
    if not found:
        raise InvalidInput(Fault("/condition", message("concessions.not_unmet")))
    return found
