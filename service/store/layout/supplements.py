"""Supplements of a job: what came up on the way, its cavities, and what has become of it, step by step."""

from datetime import datetime
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
    Uuid,
)

from service.store.layout.columns import digest, metadata, of_firm, own_id
from service.store.types import Deflated, Instant, Packed

supplements = Table(
    "supplements",
    metadata,
    # Made by who proposes it, on a phone without a network too: unique in its job and nowhere else.
    Column("id", Uuid, nullable=False),
    of_firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    # Its place among the job's: it is given out under the job's lock. The number has it after the job's.
    Column("serial", Integer, nullable=False),
    Column("number", String(60), nullable=False),
    Column("by", String(80), nullable=False),
    Column("remark", Text),
    Column("counts", JSON, nullable=False),
    Column("dropped", JSON, nullable=False),
    Column("lines", JSON, nullable=False),
    Column("hold_points", JSON, nullable=False),
    # What the job takes more by it, and less.
    Column("summary", JSON, nullable=False),
    digest("sent_sha256"),
    Column("proposed_at", Instant, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
    PrimaryKeyConstraint("job_id", "id"),
    UniqueConstraint("job_id", "serial"),
)


def _of_supplement() -> ForeignKeyConstraint:
    return ForeignKeyConstraint(["job_id", "supplement_id"], ["supplements.job_id", "supplements.id"])


supplement_cavities = Table(
    "supplement_cavities",
    metadata,
    of_firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    Column("supplement_id", Uuid, nullable=False),
    Column("position", Integer, nullable=False),
    Column("label", String(80), nullable=False),
    # The cavity that it is one more of; its own label where it is another.
    Column("origin", String(80), nullable=False),
    Column("element", String(12), nullable=False),
    Column("mass_kg", Float, nullable=False),
    Column("surveyed", JSON, nullable=False),
    Column("planned", Packed, nullable=False),
    Column("count", Integer, nullable=False),
    Column("single", Packed, nullable=True),
    Column("line", JSON, nullable=False),
    Column("single_line", JSON, nullable=True),
    PrimaryKeyConstraint("job_id", "supplement_id", "position"),
    UniqueConstraint("job_id", "supplement_id", "label"),
    _of_supplement(),
)

supplement_steps = Table(
    "supplement_steps",
    metadata,
    own_id(),
    of_firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    Column("supplement_id", Uuid, nullable=False),
    Column("position", Integer, nullable=False),
    Column(
        "kind",
        String(12),
        CheckConstraint(
            "kind IN ('proposal', 'offer', 'acceptance', 'refusal', 'withdrawal', 'takeover')", name="kind"
        ),
        nullable=False,
    ),
    Column("data", JSON, nullable=False),
    Column("taken_at", Instant, nullable=False),
    # None where a client did it by a link.
    Column("key_id", Uuid, ForeignKey("keys.id")),
    UniqueConstraint("job_id", "supplement_id", "position"),
    _of_supplement(),
)


class Supplement(TypedDict):
    """A row of `supplements`."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    serial: int
    number: str
    by: str
    remark: str | None
    counts: Any
    dropped: list[str]
    lines: Any
    hold_points: Any
    summary: Any
    sent_sha256: str
    proposed_at: datetime
    key_id: UUID


class SupplementCavity(TypedDict):
    """A row of `supplement_cavities`."""

    firm_id: UUID
    job_id: UUID
    supplement_id: UUID
    position: int
    label: str
    origin: str
    element: str
    mass_kg: float
    surveyed: Any
    planned: Deflated
    count: int
    single: Deflated | None
    line: Any
    single_line: Any


class SupplementLine(TypedDict):
    """A cavity of a supplement as a short answer reads it."""

    job_id: UUID
    supplement_id: UUID
    label: str
    count: int
    line: Any
    single_line: Any


class SupplementStep(TypedDict):
    """A row of `supplement_steps`."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    supplement_id: UUID
    position: int
    kind: str
    data: Any
    taken_at: datetime
    key_id: UUID | None
