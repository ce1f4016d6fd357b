"""What keeps the rest true: seals, imports, and answers that are given once more."""

from datetime import date, datetime
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import (
    JSON,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    String,
    Table,
    Text,
    UniqueConstraint,
    Uuid,
)

from service.store.layout.columns import digest, metadata, of_firm, own_id
from service.store.types import Instant

seals = Table(
    "seals",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("subject", String(64), nullable=False),
    digest("sha256"),
    digest("chain_sha256"),
    UniqueConstraint("quote_id", "kind", "subject"),
)

# One chain for each firm, over where the chains of its quotes end and over the rows that they rest on.
journal = Table(
    "journal",
    metadata,
    Column("firm_id", Uuid, ForeignKey("firms.id"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("subject_id", Uuid, nullable=False),
    digest("sha256"),
    digest("chain_sha256"),
    Index(None, "subject_id", "kind", "position"),
)

# An anchor a day for each firm, as it is handed out, and what it tells at a glance.
anchors = Table(
    "anchors",
    metadata,
    own_id(),
    of_firm(),
    Column("day", Date, nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("certificates", Integer, nullable=False),
    Column("notes", Integer, nullable=False),
    Column("content", Text, nullable=False),
    UniqueConstraint("firm_id", "day"),
)

imports = Table(
    "imports",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    of_firm(),
    Column("chain", JSON, nullable=False),
    Column("imported_at", Instant, nullable=False),
)

answers = Table(
    "answers",
    metadata,
    Column("key_id", Uuid, ForeignKey("keys.id"), primary_key=True),
    Column("idempotency_key", String(200), primary_key=True),
    digest("request_sha256"),
    Column("answer", JSON, nullable=False),
    Column("created_at", Instant, nullable=False),
    Index(None, "key_id", "created_at"),
)


class Seal(TypedDict):
    """A row of `seals`."""

    quote_id: UUID
    position: int
    kind: str
    subject: str
    sha256: str
    chain_sha256: str


class Journalled(TypedDict):
    """A row of `journal`."""

    firm_id: UUID
    position: int
    kind: str
    subject_id: UUID
    sha256: str
    chain_sha256: str


class KeptAnchor(TypedDict):
    """A row of `anchors` without its content."""

    id: UUID
    firm_id: UUID
    day: date
    made_at: datetime
    certificates: int
    notes: int


class WholeAnchor(KeptAnchor):
    """A row of `anchors`."""

    content: str


class Import(TypedDict):
    """A row of `imports`."""

    quote_id: UUID
    firm_id: UUID
    chain: Any
    imported_at: datetime


class Answer(TypedDict):
    """A row of `answers`."""

    key_id: UUID
    idempotency_key: str
    request_sha256: str
    answer: Any
    created_at: datetime
