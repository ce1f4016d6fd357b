"""Whether a job is ready for its certificate: looked at by a worker after each change, told once.

An assessment takes its time, so nobody who records waits for it. What came in the meantime has let
the worker look once more (`store/tasks.py: add`), and what he found of before is dropped.
"""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.vocabulary import EventKind
from service.store import concessions, entries, jobs, supplements
from service.store.row_types import Job
from service.usecases.base.context import Context, loads, writes
from service.usecases.base.events import EventData, tell
from service.usecases.base.outbox import queue
from service.usecases.work.assessments import Evidence, assessed, evidence_of
from service.usecases.work.jobs import found
from service.usecases.work.parts import agreed_labels
from service.usecases.work.said import parts_named

KIND = "readiness"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sight:
    """What a job is assessed by, and names of all of it.

    No evidence is read where nothing was said of some part: the assessment need not be asked.
    """

    evidence: Evidence | None
    rests_on: Any


def let_look(connection: Connection, context: Context, job_id: UUID) -> None:
    """Let a worker look at a job, once this transaction is committed."""
    queue(connection, context, KIND, job_id)


def look(context: Context, job_id: UUID) -> None:
    """See whether anything stands in the way of a job's certificate; a worker's to call."""
    sight = _sight(context, job_id)
    is_ready = sight.evidence is not None and not assessed(sight.evidence).unmet
    _note(context, job_id, sight.rests_on, is_ready=is_ready)


@loads
def _sight(connection: Connection, context: Context, job_id: UUID) -> _Sight:
    job = found(connection, context, job_id)
    # First the names: what comes in between is then not what was named.
    named = _rests_on(connection, job)
    is_whole = agreed_labels(connection, job["quote_id"]) <= _named(connection, job_id)
    return _Sight(evidence=evidence_of(connection, job) if is_whole else None, rests_on=named)


def _named(connection: Connection, job_id: UUID) -> set[str]:
    """The parts that something was said of."""
    labels, others = entries.labels_named(connection, job_id)
    return labels.union(*map(parts_named, others))


def _rests_on(connection: Connection, job: Job) -> Any:
    return (
        entries.last_position(connection, job["id"]),
        [row["id"] for row in concessions.of_job(connection, job["id"])],
        [row["id"] for row in supplements.steps_of(connection, [job["id"]])],
    )


@writes
def _note(connection: Connection, context: Context, job_id: UUID, rests_on: Any, *, is_ready: bool) -> None:
    job = found(connection, context, job_id, lock=True)
    was_ready = job["ready_since"] is not None
    if job["state"] == "closed" or is_ready == was_ready or _rests_on(connection, job) != rests_on:
        return
    jobs.set_ready(connection, job_id, context.now if is_ready else None)
    if is_ready:
        told = EventData(state=job["state"], quote_id=job["quote_id"], job_id=job_id)
        tell(connection, context, EventKind.JOB_READY, job_id, told)
