"""What a crew cannot start without: each thing that is missing, and whom to call for it.

A job is there once its offer was accepted; the rest is the office's to see to.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import Message, message
from service.store import crews
from service.usecases.base.context import Context


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Something that has to be there before a crew starts."""

    what: Annotated[str, "figures, assignment or link"]
    detail: Annotated[Message, "what is missing"]
    call: Annotated[str, "telephone of the office, which sees to it"]


def before_start(
    *, summary: Mapping[str, Any], assigned: Sequence[tuple[UUID, str]], linked: Collection[UUID], call: str
) -> tuple[Missing, ...]:
    """What is missing of a job, by its takeoff's totals, the crews assigned to it and those with a link."""
    found = _missing(summary, assigned, linked)
    return tuple(Missing(what=what, detail=detail, call=call) for what, detail in found)


def of_job(
    connection: Connection, context: Context, job_id: UUID, summary: Mapping[str, Any], call: str
) -> tuple[Missing, ...]:
    """What is missing of one job, whose office is at the telephone `call`."""
    assigned = crews.at(connection, job_id, context.now)
    return before_start(
        summary=summary,
        assigned=[(row["crew_id"], row["name"]) for row in assigned],
        linked={row["crew_id"] for row in assigned if row["linked"]},
        call=call,
    )


def linked_crews(connection: Connection, context: Context) -> frozenset[UUID]:
    """The firm's crews whose link opens something."""
    rows = crews.links_in_force(connection, firm_id=context.firm_id, now=context.now)
    return frozenset(row["crew_id"] for row in rows)


def _missing(
    summary: Mapping[str, Any], assigned: Sequence[tuple[UUID, str]], linked: Collection[UUID]
) -> Iterator[tuple[str, Message]]:
    if undeclared := summary.get("undeclared"):
        pointers = tuple(each["pointer"] for each in undeclared)
        yield "figures", message("jobs.start_undeclared", pointers=pointers)
    if not assigned:
        yield "assignment", message("jobs.start_unassigned")
    unlinked = tuple(dict.fromkeys(name for crew, name in assigned if crew not in linked))
    if unlinked:
        yield "link", message("jobs.start_unlinked", crews=unlinked)
