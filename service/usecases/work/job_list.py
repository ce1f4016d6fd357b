"""The list of jobs, as an office plans by it and a crew starts its day with: a few lines for each."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.survey.single import single_labels
from service.store import crews, entries, firms, jobs, quotes, supplements
from service.store.row_types import Job, QuoteSummary
from service.usecases.base.context import Context, reads
from service.usecases.work import agreed
from service.usecases.work.agreed import Agreements, Supplement
from service.usecases.work.before_start import Missing, before_start, linked_crews
from service.usecases.work.clients import told_of
from service.usecases.work.crews import SEES_DAYS, AssignedDay
from service.usecases.work.finding import ANYTHING, Known, sought


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which jobs are asked for: on a day, of a crew, in a state; None does not bind."""

    day: date | None = None
    crew: UUID | None = None
    state: str | None = None
    known: Known = ANYTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedJob:
    """A job in a list: where it is, whom to call, who is there when, and how far it is."""

    id: Annotated[UUID, "the job's id"]
    number: Annotated[str, "the job's number"]
    state: Annotated[str, "open, certified or closed"]
    quote_id: Annotated[UUID, "the quote that it came from"]
    created_at: Annotated[datetime, "when the offer was accepted"]
    reference: Annotated[str, "the sales system's reference"]
    address: Annotated[str, "where the work is done"]
    client_name: Annotated[str, "whom the work is for"]
    client_phone: Annotated[str | None, "the client's telephone, where it is known"]
    office_phone: Annotated[str, "the firm's telephone"]
    material: Annotated[str, "code of the material"]
    bags: Annotated[int, "bags to load: those of the plan"]
    parts: Annotated[int, "how many parts there are to fill"]
    parts_done: Annotated[int, "of them those that a tally says are done"]
    supplements: Annotated[int, "counts up with whatever becomes of its supplements; 0: it has none"]
    days: Annotated[tuple[AssignedDay, ...], "which crews are there on which days"]
    before_start: Annotated[tuple[Missing, ...], "what is missing before a crew can start"]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """Jobs, newest first; the Link header names the next page too."""

    items: Annotated[tuple[ListedJob, ...], "the jobs of this page"]
    next: Annotated[UUID | None, "cursor of the page after this one; null at the end"]


@reads
def listed(
    connection: Connection, context: Context, wanted: Wanted, limit: int, after: UUID | None
) -> JobPage:
    """A page of jobs, newest first.

    A crew's link is answered its own jobs of a day either side, whatever else is asked for.
    """
    rows = jobs.page(
        connection, firm_id=context.firm_id, limit=limit + 1, before=after, **_filters(context, wanted)
    )
    return JobPage(
        items=_lines(connection, context, rows[:limit]),
        next=rows[limit - 1]["id"] if len(rows) > limit else None,
    )


def _filters(context: Context, wanted: Wanted) -> dict[str, Any]:
    asked: dict[str, Any] = {
        "crew": wanted.crew,
        "since": wanted.day,
        "until": wanted.day,
        "state": wanted.state,
        "sought": sought(wanted.known),
    }
    assert context.caller is not None
    if context.caller.crew_id is None:
        return asked
    today = context.now.date()
    return {
        **asked,
        "crew": context.caller.crew_id,
        "since": max(wanted.day or date.min, today - SEES_DAYS),
        "until": min(wanted.day or date.max, today + SEES_DAYS),
    }


def _lines(connection: Connection, context: Context, rows: Sequence[Job]) -> tuple[ListedJob, ...]:
    """Each job's line, with what all of them need asked for at once."""
    ids = [row["id"] for row in rows]
    offers = {row["id"]: row for row in quotes.with_summaries(connection, [row["quote_id"] for row in rows])}
    days: dict[UUID, list[AssignedDay]] = {}
    for row in crews.days_of(connection, ids):
        assigned = AssignedDay(day=row["day"], crew=row["crew_id"], name=row["name"])
        days.setdefault(row["job_id"], []).append(assigned)
    done = entries.parts_tallied(connection, ids)
    added = _added(connection, ids)
    phone = firms.by_id(connection, context.firm_id)["data"]["phone"]
    linked = linked_crews(connection, context)
    return tuple(
        _line(
            row,
            offers[row["quote_id"]],
            days.get(row["id"], []),
            done.get(row["id"], set()),
            added.get(row["id"], _Added()),
            phone,
            linked,
        )
        for row in rows
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Added:
    """What a job's supplements on the plan add to it, and how many steps they went through."""

    bags: int = 0
    parts: int = 0
    steps: int = 0


def _added(connection: Connection, job_ids: Sequence[UUID]) -> dict[UUID, _Added]:
    known = agreed.of_jobs(connection, job_ids)
    brought: dict[tuple[UUID, UUID], list[str]] = {}
    for row in supplements.lines_of(connection, list(known)) if known else []:
        labels = single_labels(label=row["label"], count=row["count"])
        brought.setdefault((row["job_id"], row["supplement_id"]), []).extend(labels)
    return {
        job_id: _of_job(
            found, [(label, own) for own in found.supplements for label in brought.get((job_id, own.id), ())]
        )
        for job_id, found in known.items()
    }


def _of_job(agreements: Agreements, brought: Sequence[tuple[str, Supplement]]) -> _Added:
    more = sum(agreements.standing(label, own).planned for label, own in brought)
    quoted = agreements.dropped.keys() - {label for label, _ in brought}
    return _Added(
        bags=sum(each.row["summary"]["bags"] for each in agreements.on_the_plan),
        parts=more - sum(not agreements.standing(label).planned for label in quoted),
        steps=sum(each.version for each in agreements.supplements),
    )


def _line(
    job: Job,
    quote: QuoteSummary,
    days: list[AssignedDay],
    done: set[str],
    added: _Added,
    office_phone: str,
    linked: frozenset[UUID],
) -> ListedJob:
    client = told_of(quote)
    return ListedJob(
        id=job["id"],
        number=job["number"],
        state=job["state"],
        quote_id=job["quote_id"],
        created_at=job["created_at"],
        reference=quote["reference"],
        address=client["address"],
        client_name=client["name"],
        client_phone=client.get("phone"),
        office_phone=office_phone,
        material=quote["material"],
        bags=quote["bags"] + added.bags,
        parts=quote["parts"] + added.parts,
        parts_done=len(done),
        supplements=added.steps,
        days=tuple(days),
        before_start=before_start(
            summary={"undeclared": quote["undeclared"]},
            assigned=[(each.crew, each.name) for each in days],
            linked=linked,
            call=office_phone,
        ),
    )
