"""What was recorded of a job: entries, photos, and what the office conceded."""

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
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
    Uuid,
)

from service.store.layout.columns import HAS_CONTENT, content, digest, erased_at, metadata, of_firm, own_id
from service.store.types import Instant

entries = Table(
    "entries",
    metadata,
    # The id is made by who records an entry: it is unique in its job and nowhere else.
    Column("id", Uuid, nullable=False),
    of_firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    # The order of commit: it is given out under the job's lock.
    Column("position", Integer, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("happened_at", Instant, nullable=False),
    Column("offset_min", Integer, nullable=False),
    Column("by", String(80), nullable=False),
    Column("received_at", Instant, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
    Column("data", JSON, nullable=False),
    Column("corrects", Uuid),
    PrimaryKeyConstraint("job_id", "id"),
    UniqueConstraint("job_id", "position"),
    UniqueConstraint("job_id", "corrects"),
    Index(None, "firm_id", "kind"),
    Index(None, "firm_id", "received_at"),
    ForeignKeyConstraint(
        ["job_id", "corrects"], ["entries.job_id", "entries.id"], name="fk_entries_corrects"
    ),
)

photos = Table(
    "photos",
    metadata,
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    # Made on the phone: unique in its job, and nobody else's.
    Column("id", Uuid, nullable=False),
    of_firm(),
    digest("sha256"),
    digest("sent_sha256"),
    Column("cavity", String(80)),
    Column("caption", Text),
    *content(),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("taken_at", Instant),
    Column("latitude", Float),
    Column("longitude", Float),
    digest("place_sha256", nullable=True),
    Column("received_at", Instant, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
    erased_at(),
    PrimaryKeyConstraint("job_id", "id"),
    CheckConstraint(
        f"{HAS_CONTENT} AND (latitude IS NULL OR erased_at IS NULL) "
        "AND (longitude IS NULL OR erased_at IS NULL)",
        name="erased",
    ),
)

concessions = Table(
    "concessions",
    metadata,
    own_id(),
    of_firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    Column("condition", String(40), nullable=False),
    Column("cavity", String(80)),
    Column("subjects", JSON, nullable=False),
    Column("reason", Text, nullable=False),
    Column("granted_by", String(80), nullable=False),
    Column("granted_at", Instant, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
    Index(None, "job_id"),
)


class SaidEntry(TypedDict):
    """An entry as far as it says something."""

    id: UUID
    position: int
    kind: str
    happened_at: datetime
    offset_min: int
    by: str
    received_at: datetime
    data: Any
    corrects: UUID | None


class Entry(SaidEntry):
    """A row of `entries`."""

    firm_id: UUID
    job_id: UUID
    key_id: UUID


class PhotoBase(TypedDict):
    """What is known of a photo."""

    job_id: UUID
    id: UUID
    firm_id: UUID
    sha256: str
    sent_sha256: str
    cavity: str | None
    caption: str | None
    width_px: int
    height_px: int
    taken_at: datetime | None
    latitude: float | None
    longitude: float | None
    place_sha256: str | None
    received_at: datetime
    key_id: UUID
    erased_at: datetime | None


class PhotoHead(PhotoBase):
    """A photo without its content; without a size once that was erased."""

    object_key: str | None
    size_bytes: int | None


class Photo(PhotoBase):
    """A row of `photos`."""

    content: bytes | None
    object_key: str | None
    size_bytes: int


class Concession(TypedDict):
    """A row of `concessions`."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    condition: str
    cavity: str | None
    subjects: list[str]
    reason: str
    granted_by: str
    granted_at: datetime
    key_id: UUID
