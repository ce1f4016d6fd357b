"""Crews: made, given their link, assigned to jobs day by day.

A link is for a crew, not for a person: it is a key that opens the crew's own jobs and nothing
else, and it can be renewed or revoked. Whoever records says who he is in each entry.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Annotated, Any
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.messages import message
from service.errors import Conflict, Fault, InvalidInput, NotKnown
from service.store import crews, jobs, row_types
from service.store.row_types import some
from service.usecases.base import journal
from service.usecases.base.context import Context, reads, writes, writes_link
from service.usecases.base.seals import of_rows, seal
from service.usecases.firm.keys import end, made

ROLE = "crew"
# A crew sees the jobs of a day either side, and may still record for what it was assigned this long ago.
SEES_DAYS, RECORDS_DAYS = timedelta(days=1), timedelta(days=30)


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """A crew of the firm."""

    id: Annotated[UUID, "the crew's id"]
    name: Annotated[str, "what the crew is called on plans and papers"]
    created_at: Annotated[datetime, "when the crew was made"]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewCrew(Crew):
    """A crew with a link that was just made."""

    url: Annotated[str, "the crew's page with its link, shown this once"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewLink:
    """A crew's link in force; what opens it is shown only when it is made."""

    created_at: Annotated[datetime, "when the link was made"]
    last_used_at: Annotated[datetime | None, "when it was used last, to the minute; null: never"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedCrew(Crew):
    """A crew with its link in force, if it has one."""

    link: Annotated[CrewLink | None, "the link in force; null where none is"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Crews:
    """The firm's crews."""

    items: Annotated[tuple[ListedCrew, ...], "the firm's crews by their names"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AssignedDay:
    """A day on which a crew is at a job."""

    day: Annotated[date, "the day, as the firm's calendar has it"]
    crew: Annotated[UUID, "the crew's id"]
    name: Annotated[str, "what the crew is called"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assignment:
    """Which crews are at a job on which days."""

    days: Annotated[tuple[AssignedDay, ...], "by day, then by crew"]


@writes_link
def create(connection: Connection, context: Context, name: str) -> NewCrew:
    """Make a crew and its link, which is shown this once."""
    journal.hold(connection, context.firm_id)
    if crews.by_name(connection, firm_id=context.firm_id, name=name):
        raise Conflict(message("crews.name_taken", name=name))
    crew_id = uuid7()
    row: row_types.Crew = {"id": crew_id, "firm_id": context.firm_id, "name": name, "created_at": context.now}
    crews.add(connection, row)
    journal.note(connection, context.firm_id, "crew", crew_id)
    return NewCrew(**_shown(row), url=_link(connection, context, crew_id, name))


@reads
def listed(connection: Connection, context: Context) -> Crews:
    """The firm's crews, each with when its link was made and last used, if one is in force."""
    links = {
        row["crew_id"]: row
        for row in crews.links_in_force(connection, firm_id=context.firm_id, now=context.now)
    }
    return Crews(
        items=tuple(
            ListedCrew(**_shown(row), link=_of_link(links.get(row["id"])))
            for row in crews.of_firm(connection, context.firm_id)
        )
    )


@writes_link
def renew(connection: Connection, context: Context, crew_id: UUID) -> NewCrew:
    """Give a crew another link, shown this once; the one before opens nothing from now on."""
    crew = _found(connection, context, crew_id)
    first = _end_links(connection, context, crew_id)
    return NewCrew(**_shown(crew), url=_link(connection, context, crew_id, crew["name"], first))


@writes
def revoke(connection: Connection, context: Context, crew_id: UUID) -> None:
    """End a crew's link; the crew and what it recorded stay."""
    _found(connection, context, crew_id)
    _end_links(connection, context, crew_id)


@writes
def assign(
    connection: Connection, context: Context, job_id: UUID, days: Sequence[Mapping[str, Any]]
) -> Assignment:
    """Say which crews are at a job on which days, in the place of what was said before."""
    job = _job(connection, context, job_id, lock=True)
    wanted = _days(connection, context, days)
    assert context.caller is not None
    row = {
        "id": uuid7(),
        "firm_id": context.firm_id,
        "job_id": job_id,
        "days": [
            {"day": day.isoformat(), "crew": str(crew_id), "name": name}
            for (day, crew_id), name in wanted.items()
        ],
        "assigned_at": context.now,
        "key_id": context.caller.key_id,
    }
    crews.assign(connection, row, wanted)
    seal(connection, job["quote_id"], of_rows("assignment", [row]))
    return _assignment(connection, job_id)


@reads
def assignment(connection: Connection, context: Context, job_id: UUID) -> Assignment:
    """The days that a job is assigned on, and to which crews."""
    _job(connection, context, job_id)
    return _assignment(connection, job_id)


def may_see(connection: Connection, context: Context, job_id: UUID) -> bool:
    """Whether the caller's crew, if it is one, may see or record for this job now."""
    crew_id = context.caller.crew_id if context.caller else None
    if crew_id is None:
        return True
    today = context.now.date()
    return crews.is_assigned(
        connection, job_id=job_id, crew_id=crew_id, since=today - RECORDS_DAYS, until=today + SEES_DAYS
    )


def _days(
    connection: Connection, context: Context, days: Sequence[Mapping[str, Any]]
) -> dict[tuple[date, UUID], str]:
    names = {row["id"]: row["name"] for row in crews.of_firm(connection, context.firm_id)}
    strangers = [
        Fault(f"/days/{index}/crew", message("crews.no_such_crew"))
        for index, each in enumerate(days)
        if each["crew"] not in names
    ]
    if strangers:
        raise InvalidInput(*strangers)
    wanted = {(each["day"], each["crew"]): names[each["crew"]] for each in days}
    if len(wanted) < len(days):
        raise InvalidInput(Fault("/days", message("crews.day_twice")))
    return dict(sorted(wanted.items()))


def _assignment(connection: Connection, job_id: UUID) -> Assignment:
    return Assignment(
        days=tuple(
            AssignedDay(day=row["day"], crew=row["crew_id"], name=row["name"])
            for row in crews.days_of(connection, [job_id])
        )
    )


def _job(connection: Connection, context: Context, job_id: UUID, *, lock: bool = False) -> row_types.Job:
    job = jobs.by_id(connection, firm_id=context.firm_id, job_id=job_id, lock=lock)
    if job is None:
        raise NotKnown(message("jobs.not_known"))
    return job


def _found(connection: Connection, context: Context, crew_id: UUID) -> row_types.Crew:
    crew = crews.by_id(connection, firm_id=context.firm_id, crew_id=crew_id)
    if crew is None:
        raise NotKnown(message("crews.not_known"))
    return crew


def _shown(crew: row_types.Crew) -> dict[str, Any]:
    return some(crew, ("id", "name", "created_at"))


def _of_link(key: row_types.CrewLink | None) -> CrewLink | None:
    return CrewLink(created_at=key["created_at"], last_used_at=key["last_used_at"]) if key else None


def _link(
    connection: Connection, context: Context, crew_id: UUID, name: str, first: UUID | None = None
) -> str:
    token = made(
        connection,
        firm_id=context.firm_id,
        roles=[ROLE],
        label=name,
        now=context.now,
        crew_id=crew_id,
        first_id=first,
    )
    # In the fragment: it travels in a header, never in a request line or a log.
    return f"{context.settings.public_url}/crew/#{token}"


def _end_links(connection: Connection, context: Context, crew_id: UUID) -> UUID | None:
    """End a crew's links; what was answered to the first of them is its successors' too.

    Whoever gives the crew another one meanwhile waits, so that no more than one is ever in force.
    """
    journal.hold(connection, context.firm_id)
    in_force = crews.links_in_force(connection, firm_id=context.firm_id, now=context.now)
    mine = [row for row in in_force if row["crew_id"] == crew_id]
    for row in mine:
        end(connection, row["prefix"], at=context.now, now=context.now)
    return crews.first_link(connection, crew_id)
