"""The assessment of a job: worked out anew from its ledger, always the same for the same ledger."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping
from uuid6 import uuid7

from service.engine.site.assessment import Assessment, Condition, assess
from service.engine.site.ledger import Ledger
from service.errors import Conflict, Fault, InvalidInput
from service.store import concessions, entries
from service.usecases.base.context import Context, reads, writes
from service.usecases.base.json import to_json
from service.usecases.base.seals import of_rows, seal
from service.usecases.work import jobs
from service.usecases.work.ledger import Plan, ledger_of, plan_of, standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessed:
    """A job's plan and ledger, what follows from them, and what the office let stand."""

    plan: Plan
    ledger: Ledger
    assessment: Assessment
    concessions: list[RowMapping]

    @property
    def unmet(self) -> list[Condition]:
        """Conditions that still stand in the way of a certificate."""
        granted = {(row["condition"], row["cavity"], row["subject"]) for row in self.concessions}
        return [each for each in self.assessment.conditions if not _is_granted(each, granted)]


def _is_granted(condition: Condition, granted: set[tuple[str, str | None, str | None]]) -> bool:
    of_all, of_one = ((condition.code.value, condition.cavity, each) for each in (None, condition.subject))
    return condition.concedable and (of_all in granted or of_one in granted)


@reads
def read(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """The assessment, with the conditions that are still unmet."""
    found = assessed(connection, jobs.found(connection, context, job_id))
    return {
        **to_json(found.assessment),
        "concessions": [concession_of(row) for row in found.concessions],
        "unmet": found.unmet,
        "ready": not found.unmet,
    }


def assessed(connection: Connection, job: RowMapping) -> Assessed:
    """Assess a job by its ledger as it stands."""
    plan = plan_of(connection, job)
    ledger = ledger_of(standing(entries.of_job(connection, job["id"])))
    return Assessed(
        plan=plan,
        ledger=ledger,
        assessment=assess(
            cavities=plan.cavities,
            hold_points=plan.hold_points,
            ledger=ledger,
            material=plan.material,
            practice=plan.practice,
        ),
        concessions=concessions.of_job(connection, job["id"]),
    )


@writes
def concede(
    connection: Connection, context: Context, job_id: UUID, body: Mapping[str, Any]
) -> Mapping[str, Any]:
    """Let a condition stand, with a reason; refused for what none can be granted for."""
    job = jobs.found(connection, context, job_id, lock=True)
    found = assessed(connection, job)
    named = (body["condition"], body.get("cavity"))
    subject = body.get("subject")
    matching = [c for c in found.unmet if (c.code, c.cavity) == named and subject in (None, c.subject)]
    if not matching:
        raise InvalidInput(Fault("/condition", "No such condition is unmet on this job."))
    if not all(condition.concedable for condition in matching):
        raise Conflict("This condition cannot be waived: it must be met.")
    row = {
        "id": uuid7(),
        "firm_id": job["firm_id"],
        "job_id": job_id,
        "condition": body["condition"].value,
        "cavity": body.get("cavity"),
        "subject": subject,
        "reason": body["reason"],
        "granted_by": body["granted_by"],
        "granted_at": context.now,
    }
    concessions.add(connection, row)
    seal(connection, job["quote_id"], of_rows("concession", [row]))
    return concession_of(row)


def concession_of(row: Mapping[str, Any]) -> dict[str, Any]:
    """A concession as it is shown and printed."""
    return {
        name: row[name] for name in ("condition", "cavity", "subject", "reason", "granted_by", "granted_at")
    }
