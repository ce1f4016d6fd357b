"""Jobs, and which crew works on them on which day."""

from datetime import date, datetime
from typing import Any, TypedDict
from uuid import UUID

from orjson import Fragment
from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    String,
    Table,
    UniqueConstraint,
    Uuid,
)

from service.store.layout.columns import metadata, of_firm, own_id
from service.store.types import Instant

jobs = Table(
    "jobs",
    metadata,
    own_id(),
    of_firm(),
    Column("quote_id", Uuid, ForeignKey("quotes.id"), nullable=False, unique=True),
    Column("number", String(40), nullable=False),
    Column(
        "state",
        String(12),
        CheckConstraint("state IN ('open', 'certified', 'closed')", name="state"),
        nullable=False,
    ),
    # Since when an entry is newer than the certificate of its part.
    Column("moved_on_at", Instant),
    # Since when nothing stands in the way of its certificate, as a worker last found.
    Column("ready_since", Instant),
    Column("created_at", Instant, nullable=False),
    UniqueConstraint("firm_id", "number"),
    Index(None, "firm_id", "id"),
    Index(None, "firm_id", "state", "id"),
)

assignments = Table(
    "assignments",
    metadata,
    own_id(),
    of_firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    Column("days", JSON, nullable=False),
    Column("assigned_at", Instant, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
    Index(None, "job_id", "id"),
)

# The newest assignment of each job, day by day: what crews and the day's list are found by.
assigned_days = Table(
    "assigned_days",
    metadata,
    Column("job_id", Uuid, ForeignKey("jobs.id"), primary_key=True),
    Column("day", Date, primary_key=True),
    Column("crew_id", Uuid, ForeignKey("crews.id"), primary_key=True),
    of_firm(),
    Index(None, "firm_id", "day"),
    Index(None, "crew_id", "day"),
)


class Job(TypedDict):
    """A row of `jobs`."""

    id: UUID
    firm_id: UUID
    quote_id: UUID
    number: str
    state: str
    moved_on_at: datetime | None
    ready_since: datetime | None
    created_at: datetime


class ShortJob(Job):
    """A job with what is answered of it and of its quote in short, and whether supplements change that."""

    quote_number: str
    reference: str
    offered_at: datetime
    valid_until: date
    body: Any
    short: Fragment
    undeclared: Any
    client: Any
    client_erased_at: datetime | None
    phone: str
    supplemented: bool


class AssignedCrew(TypedDict):
    """A crew that is at a job some day, and whether its link opens something."""

    crew_id: UUID
    name: str
    linked: bool


class Assignment(TypedDict):
    """A row of `assignments`."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    days: Any
    assigned_at: datetime
    key_id: UUID


class AssignedDay(TypedDict):
    """A day of a job's assignment, with its crew."""

    day: date
    crew_id: UUID
    name: str


class AssignedJobDay(AssignedDay):
    """The same, and which job it is."""

    job_id: UUID
