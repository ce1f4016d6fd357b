"""Certificates, what becomes of them, the files of what was issued and the links to it."""

from datetime import datetime
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    String,
    Table,
    Text,
    UniqueConstraint,
    Uuid,
)

from service.store.layout.columns import HAS_CONTENT, content, digest, erased_at, metadata, of_firm, own_id
from service.store.types import Instant

certificates = Table(
    "certificates",
    metadata,
    own_id(),
    of_firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    # Its place in the chain of its firm, from 1: numbers begin anew each year, and clocks can go wrong.
    Column("position", Integer, nullable=False),
    Column("year", Integer, nullable=False),
    Column("serial", Integer, nullable=False),
    Column("number", String(40), nullable=False, unique=True),
    Column("issued_at", Instant, nullable=False),
    Column("record", LargeBinary, nullable=False),
    digest("record_sha256"),
    digest("previous_sha256"),
    digest("chain_sha256"),
    # The latest entry that it rests on, and what it says at a glance, which its record says as well.
    Column("ledger_position", Integer, nullable=False),
    Column("outcome", JSON, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
    UniqueConstraint("firm_id", "position"),
    UniqueConstraint("firm_id", "year", "serial"),
    Index(None, "job_id"),
)

supersessions = Table(
    "supersessions",
    metadata,
    Column("certificate_id", Uuid, ForeignKey("certificates.id"), primary_key=True),
    Column("superseded_by", Uuid, ForeignKey("certificates.id"), nullable=False),
)

withdrawals = Table(
    "withdrawals",
    metadata,
    Column("certificate_id", Uuid, ForeignKey("certificates.id"), primary_key=True),
    Column("reason", Text, nullable=False),
    Column("withdrawn_at", Instant, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
)

files = Table(
    "files",
    metadata,
    Column("kind", String(20), primary_key=True),
    Column("owner_id", Uuid, primary_key=True),
    digest("sha256"),
    *content(),
    Column("created_at", Instant, nullable=False),
    erased_at(),
    CheckConstraint(HAS_CONTENT, name="erased"),
)

links = Table(
    "links",
    metadata,
    own_id(),
    of_firm(),
    Column(
        "kind", String(20), CheckConstraint("kind IN ('quote', 'certificate')", name="kind"), nullable=False
    ),
    Column("owner_id", Uuid, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("revoked_at", Instant),
)


class CertificateHead(TypedDict):
    """A certificate without its record."""

    id: UUID
    firm_id: UUID
    job_id: UUID
    position: int
    year: int
    serial: int
    number: str
    issued_at: datetime
    record_sha256: str
    previous_sha256: str
    chain_sha256: str
    ledger_position: int
    outcome: Any
    key_id: UUID


class Certificate(CertificateHead):
    """A row of `certificates`."""

    record: bytes


class ChainedCertificate(CertificateHead):
    """A certificate without its record, and whether it was imported."""

    imported: bool


class ChainEnd(TypedDict):
    """Where a firm's chain of certificates ends."""

    position: int
    chain_sha256: str


class StandingHead(CertificateHead):
    """A certificate without its record, and what has become of it."""

    firm_code: str
    firm: Any
    superseded_by: str | None
    superseded_at: datetime | None
    withdrawal_reason: str | None
    withdrawn_at: datetime | None
    file_sha256: str | None
    file_erased_at: datetime | None


class Standing(StandingHead):
    """A certificate with its record, and what has become of it."""

    record: bytes


class Supersession(TypedDict):
    """A row of `supersessions`."""

    certificate_id: UUID
    superseded_by: UUID


class Withdrawal(TypedDict):
    """A row of `withdrawals`."""

    certificate_id: UUID
    reason: str
    withdrawn_at: datetime
    key_id: UUID


class FileHead(TypedDict):
    """A file without its content."""

    kind: str
    owner_id: UUID
    sha256: str
    object_key: str | None
    size_bytes: int
    created_at: datetime
    erased_at: datetime | None


class File(FileHead):
    """A row of `files`."""

    content: bytes | None


class Link(TypedDict):
    """A row of `links`."""

    id: UUID
    firm_id: UUID
    kind: str
    owner_id: UUID
    expires_at: datetime
    created_at: datetime
    revoked_at: datetime | None
