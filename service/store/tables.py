"""Every table. What is issued is only ever added to; the migrations hold the triggers that see to it."""

from typing import Any

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
    Uuid,
)

from service.store.types import Instant, Money

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _id() -> Column[Any]:
    return Column("id", Uuid, primary_key=True)


def _firm() -> Column[Any]:
    return Column("firm_id", Uuid, ForeignKey("firms.id"), nullable=False)


def _digest(name: str, *, nullable: bool = False) -> Column[Any]:
    return Column(name, String(64), CheckConstraint(f"length({name}) = 64", name=name), nullable=nullable)


def _erased_at() -> Column[Any]:
    """When what is of the client in a row was erased; the digest of what was there stays."""
    return Column("erased_at", Instant)


def _dated(name: str) -> Table:
    """A kind of thing that is replaced by a newer version from a day on, and never changed."""
    return Table(
        name,
        metadata,
        _id(),
        _firm(),
        Column("code", String(40), nullable=False),
        Column("in_force_from", Date, nullable=False),
        Column("data", JSON, nullable=False),
        Column("created_at", Instant, nullable=False),
        Index(None, "firm_id", "code", "in_force_from"),
    )


firms = Table(
    "firms",
    metadata,
    _id(),
    Column("code", String(40), nullable=False, unique=True),
    Column("data", JSON, nullable=False),
    Column("created_at", Instant, nullable=False),
)

crews = Table(
    "crews",
    metadata,
    _id(),
    _firm(),
    Column("name", String(80), nullable=False),
    Column("created_at", Instant, nullable=False),
    UniqueConstraint("firm_id", "name"),
)

keys = Table(
    "keys",
    metadata,
    _id(),
    _firm(),
    # A crew's link is a key that opens the crew's own jobs only.
    Column("crew_id", Uuid, ForeignKey("crews.id")),
    Column("prefix", String(12), nullable=False),
    Column("label", String(80), nullable=False),
    _digest("digest"),
    Column("roles", JSON, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("last_used_at", Instant),
    Column("revoked_at", Instant),
    # Of keys that came in one another's place the first: what was answered to one is its successors' too.
    Column("first_id", Uuid, ForeignKey("keys.id")),
    UniqueConstraint("prefix"),
)

materials = _dated("materials")
price_lists = _dated("price_lists")
lances = _dated("lances")
practices = _dated("practices")

series = Table(
    "series",
    metadata,
    Column("firm_id", Uuid, ForeignKey("firms.id"), primary_key=True),
    Column("kind", String(20), primary_key=True),
    Column("year", Integer, primary_key=True),
    Column("last", Integer, nullable=False),
)

quotes = Table(
    "quotes",
    metadata,
    _id(),
    _firm(),
    Column("number", String(40)),
    Column("reference", String(80), nullable=False),
    Column(
        "state",
        String(12),
        CheckConstraint("state IN ('draft', 'offered', 'accepted', 'withdrawn')", name="state"),
        nullable=False,
    ),
    Column("version", Integer, nullable=False),
    Column("body", JSON, nullable=False),
    Column("basis", JSON, nullable=False),
    Column("summary", JSON, nullable=False),
    Column("currency", String(3), nullable=False),
    Column("total", Money, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("updated_at", Instant, nullable=False),
    Column("offered_at", Instant),
    Column("valid_until", Date),
    Column("accepted_at", Instant),
    Column("withdrawn_at", Instant),
    Column("sealed", Integer, nullable=False),
    UniqueConstraint("firm_id", "number"),
    Index(None, "firm_id", "state", "id"),
)

quote_cavities = Table(
    "quote_cavities",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("label", String(80), nullable=False),
    Column("element", String(12), nullable=False),
    Column("mass_kg", Float, nullable=False),
    Column("surveyed", JSON, nullable=False),
    Column("planned", JSON, nullable=False),
    Column("count", Integer, nullable=False),
    Column("single", JSON, nullable=True),
    # What a short answer says of it, and of each where it is one of several: no working is read for it.
    Column("line", JSON, nullable=False),
    Column("single_line", JSON, nullable=True),
    UniqueConstraint("quote_id", "label"),
)

clients = Table(
    "clients",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("data", JSON(none_as_null=True)),
    Column("salt", String(32)),
    _digest("sha256"),
    _erased_at(),
    Column("reason", Text),
    Column("key_id", Uuid, ForeignKey("keys.id")),
    CheckConstraint(
        "(data IS NULL) = (erased_at IS NOT NULL) AND (salt IS NULL) = (erased_at IS NOT NULL)", name="erased"
    ),
)

seals = Table(
    "seals",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("kind", String(20), nullable=False),
    Column("subject", String(64), nullable=False),
    _digest("sha256"),
    _digest("chain_sha256"),
    UniqueConstraint("quote_id", "kind", "subject"),
)

imports = Table(
    "imports",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("chain", JSON, nullable=False),
    Column("imported_at", Instant, nullable=False),
)

jobs = Table(
    "jobs",
    metadata,
    _id(),
    _firm(),
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
    Column("created_at", Instant, nullable=False),
    UniqueConstraint("firm_id", "number"),
    Index(None, "firm_id", "id"),
)

assignments = Table(
    "assignments",
    metadata,
    _id(),
    _firm(),
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
    _firm(),
    Index(None, "firm_id", "day"),
    Index(None, "crew_id", "day"),
)

entries = Table(
    "entries",
    metadata,
    # The id is made by who records an entry: it is unique in its job and nowhere else.
    Column("id", Uuid, nullable=False),
    _firm(),
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
    _firm(),
    _digest("sha256"),
    _digest("sent_sha256"),
    Column("cavity", String(80)),
    Column("caption", Text),
    Column("content", LargeBinary),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("taken_at", Instant),
    Column("latitude", Float),
    Column("longitude", Float),
    _digest("place_sha256", nullable=True),
    Column("received_at", Instant, nullable=False),
    Column("key_id", Uuid, ForeignKey("keys.id"), nullable=False),
    _erased_at(),
    PrimaryKeyConstraint("job_id", "id"),
    CheckConstraint(
        "(content IS NULL) = (erased_at IS NOT NULL) AND (latitude IS NULL OR erased_at IS NULL) "
        "AND (longitude IS NULL OR erased_at IS NULL)",
        name="erased",
    ),
)

concessions = Table(
    "concessions",
    metadata,
    _id(),
    _firm(),
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

certificates = Table(
    "certificates",
    metadata,
    _id(),
    _firm(),
    Column("job_id", Uuid, ForeignKey("jobs.id"), nullable=False),
    # Its place in the chain of its firm, from 1: numbers begin anew each year, and clocks can go wrong.
    Column("position", Integer, nullable=False),
    Column("year", Integer, nullable=False),
    Column("serial", Integer, nullable=False),
    Column("number", String(40), nullable=False, unique=True),
    Column("issued_at", Instant, nullable=False),
    Column("record", LargeBinary, nullable=False),
    _digest("record_sha256"),
    _digest("previous_sha256"),
    _digest("chain_sha256"),
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
    _digest("sha256"),
    Column("content", LargeBinary),
    Column("created_at", Instant, nullable=False),
    _erased_at(),
    CheckConstraint("(content IS NULL) = (erased_at IS NOT NULL)", name="erased"),
)

links = Table(
    "links",
    metadata,
    _id(),
    _firm(),
    Column(
        "kind", String(20), CheckConstraint("kind IN ('quote', 'certificate')", name="kind"), nullable=False
    ),
    Column("owner_id", Uuid, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("revoked_at", Instant),
)

answers = Table(
    "answers",
    metadata,
    Column("key_id", Uuid, ForeignKey("keys.id"), primary_key=True),
    Column("idempotency_key", String(200), primary_key=True),
    _digest("request_sha256"),
    Column("answer", JSON, nullable=False),
    Column("created_at", Instant, nullable=False),
    Index(None, "key_id", "created_at"),
)
