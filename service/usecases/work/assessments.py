"""The assessment of a job: worked out anew from its ledger, always the same for the same ledger."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.site.assessment import Assessment, assess
from service.engine.site.concessions import Concession, unmet
from service.engine.site.condition import Condition
from service.engine.site.ledger import Ledger
from service.store import concessions, entries
from service.store.row_types import Concession as ConcessionRow
from service.store.row_types import Job, SaidEntry, some
from service.usecases.base.context import Context, loads
from service.usecases.base.json import from_json, to_json
from service.usecases.work import jobs
from service.usecases.work.ledger import Plan, ledger_of, plan_of, standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """What an assessment is worked out from: the plan, every entry, and what the office conceded."""

    plan: Plan
    entries: Sequence[SaidEntry]
    concessions: tuple[Concession, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessed:
    """A job's ledger as it stands, what follows from it, and what the office conceded."""

    evidence: Evidence
    ledger: Ledger
    assessment: Assessment

    @property
    def unmet(self) -> tuple[Condition, ...]:
        """Conditions that still stand in the way of a certificate for the whole job."""
        return unmet(conditions=self.assessment.conditions, concessions=self.evidence.concessions)


def read(context: Context, job_id: UUID) -> Mapping[str, Any]:
    """The assessment, with the conditions that are still unmet."""
    found = assessed(_evidence(context, job_id))
    answer: dict[str, Any] = to_json(found.assessment)
    granted = to_json(found.evidence.concessions)
    return answer | {"concessions": granted, "unmet": to_json(found.unmet), "ready": not found.unmet}


@loads
def _evidence(connection: Connection, context: Context, job_id: UUID) -> Evidence:
    return evidence_of(connection, jobs.found(connection, context, job_id))


def evidence_of(connection: Connection, job: Job) -> Evidence:
    """Everything that a job's assessment is worked out from, as it stands."""
    return Evidence(
        plan=plan_of(connection, job),
        entries=entries.said_in(connection, job["id"]),
        concessions=tuple(map(concession_of, concessions.of_job(connection, job["id"]))),
    )


def assessed(evidence: Evidence) -> Assessed:
    """Assess a job by its ledger: takes its time, and needs no transaction."""
    plan, ledger = evidence.plan, ledger_of(standing(evidence.entries))
    found = assess(
        cavities=plan.cavities,
        hold_points=plan.hold_points,
        ledger=ledger,
        material=plan.material,
        practice=plan.practice,
    )
    return Assessed(evidence=evidence, ledger=ledger, assessment=found)


def concession_of(row: ConcessionRow) -> Concession:
    """A concession, from its row."""
    names = ("condition", "cavity", "subjects", "reason", "granted_by", "granted_at")
    return from_json(Concession, to_json(some(row, names)))
