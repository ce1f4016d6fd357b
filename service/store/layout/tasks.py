"""What is to be done after a change, and what was spent on it."""

from datetime import datetime
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import JSON, Column, Float, ForeignKey, Index, Integer, String, Table, UniqueConstraint, Uuid

from service.store.layout.columns import metadata, of_firm, own_id
from service.store.types import Instant

# What is to be done after a change, written with it: claimed with a lease, tried again, given up at last.
tasks = Table(
    "tasks",
    metadata,
    own_id(),
    of_firm(),
    Column("kind", String(20), nullable=False),
    Column("subject_id", Uuid, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("due_at", Instant, nullable=False),
    Column("attempts", Integer, nullable=False),
    Column("leased_until", Instant),
    Column("last_error", JSON(none_as_null=True)),
    Column("dead_at", Instant),
    # The request that it follows, and its trace (W3C Trace Context): for the log.
    Column("request_id", String(64)),
    Column("trace", String(55)),
    UniqueConstraint("kind", "subject_id"),
    Index(None, "dead_at", "due_at"),
)

# What was spent on them: attempts and seconds, added up.
spent = Table(
    "spent",
    metadata,
    Column("firm_id", Uuid, ForeignKey("firms.id"), primary_key=True),
    Column("kind", String(20), primary_key=True),
    Column("done", Integer, nullable=False),
    Column("failed", Integer, nullable=False),
    Column("seconds", Float, nullable=False),
)


class Task(TypedDict):
    """A row of `tasks`."""

    id: UUID
    firm_id: UUID
    kind: str
    subject_id: UUID
    created_at: datetime
    due_at: datetime
    attempts: int
    leased_until: datetime | None
    last_error: Any
    dead_at: datetime | None
    request_id: str | None
    trace: str | None


class TaskFigures(TypedDict):
    """What is to be done of a kind, of all firms together, and what was spent on it."""

    kind: str
    waiting: int
    dead: int
    oldest: datetime | None
    done: int
    failed: int
    seconds: float
