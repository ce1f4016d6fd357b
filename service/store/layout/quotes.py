"""Quotes, their cavities, and who the client is."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypedDict
from uuid import UUID

from orjson import Fragment
from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    Date,
    Float,
    ForeignKey,
    Index,
    Integer,
    String,
    Table,
    Text,
    UniqueConstraint,
    Uuid,
)

from service.store.layout.columns import digest, erased_at, metadata, of_firm, own_id
from service.store.types import Deflated, Instant, Money, Packed

quotes = Table(
    "quotes",
    metadata,
    own_id(),
    of_firm(),
    Column("number", String(40)),
    Column("revision", Integer, nullable=False),
    # What it takes the place of once it is offered: the revision before it.
    Column("revises", Uuid),
    Column("reference", String(80), nullable=False),
    Column(
        "state",
        String(12),
        CheckConstraint("state IN ('draft', 'offered', 'accepted', 'withdrawn', 'superseded')", name="state"),
        nullable=False,
    ),
    Column("version", Integer, nullable=False),
    Column("body", JSON, nullable=False),
    Column("basis", JSON, nullable=False),
    Column("summary", JSON, nullable=False),
    # As they are answered: the short takeoff by what was posted, and where that differs by single parts.
    Column("short", JSON, nullable=False),
    Column("short_singly", JSON(none_as_null=True), nullable=True),
    Column("currency", String(3), nullable=False),
    Column("total", Money, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("updated_at", Instant, nullable=False),
    Column("offered_at", Instant),
    Column("valid_until", Date),
    Column("accepted_at", Instant),
    Column("withdrawn_at", Instant),
    Column("superseded_at", Instant),
    Column("superseded_by", Uuid),
    Column("sealed", Integer, nullable=False),
    UniqueConstraint("firm_id", "number", "revision"),
    Index(None, "firm_id", "id"),
    Index(None, "firm_id", "state", "id"),
    Index(None, "firm_id", "state", "valid_until", "id"),
)

# What quotes and jobs are found by: it repeats what stands elsewhere, and is erased with it.
search_terms = Table(
    "search_terms",
    metadata,
    Column("owner_id", Uuid, primary_key=True),
    Column("kind", String(12), primary_key=True),
    # By its letters' code points, so that an index finds what begins with a term.
    Column("term", String(80).with_variant(String(80, collation="C"), "postgresql"), primary_key=True),
    of_firm(),
    Index(None, "firm_id", "kind", "term", "owner_id"),
)

BASE_OPTION = "1"
"""What an offer is by itself; its other options, if it has any, are 2, 3 and so on."""

# Each is the whole offer worked out anew; the one that is accepted takes the place of what the quote says.
quote_options = Table(
    "quote_options",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("option", String(1), primary_key=True),
    Column("text", String(200), nullable=False),
    Column("body", JSON, nullable=False),
    Column("basis", JSON, nullable=False),
    Column("summary", JSON, nullable=False),
    Column("short", JSON, nullable=False),
    Column("short_singly", JSON(none_as_null=True), nullable=True),
    Column("total", Money, nullable=False),
)

quote_cavities = Table(
    "quote_cavities",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("option", String(1), nullable=False),
    Column("label", String(80), nullable=False),
    Column("element", String(12), nullable=False),
    Column("mass_kg", Float, nullable=False),
    Column("surveyed", JSON, nullable=False),
    Column("planned", Packed, nullable=False),
    Column("count", Integer, nullable=False),
    Column("single", Packed, nullable=True),
    # What a short answer says of it, and of each where it is one of several: no working is read for it.
    Column("line", JSON, nullable=False),
    Column("single_line", JSON, nullable=True),
    UniqueConstraint("quote_id", "option", "label"),
)

clients = Table(
    "clients",
    metadata,
    Column("quote_id", Uuid, ForeignKey("quotes.id"), primary_key=True),
    Column("data", JSON(none_as_null=True)),
    Column("salt", String(32)),
    digest("sha256"),
    erased_at(),
    Column("reason", Text),
    Column("key_id", Uuid, ForeignKey("keys.id")),
    CheckConstraint(
        "(data IS NULL) = (erased_at IS NOT NULL) AND (salt IS NULL) = (erased_at IS NOT NULL)", name="erased"
    ),
)


class QuoteName(TypedDict):
    """A quote, whose it is and its number."""

    id: UUID
    firm_id: UUID
    number: str | None


class QuoteHead(TypedDict):
    """A quote with what there still is of its client, without what it was worked out from and to."""

    id: UUID
    firm_id: UUID
    number: str | None
    revision: int
    revises: UUID | None
    reference: str
    state: str
    version: int
    body: Any
    currency: str
    total: Decimal
    created_at: datetime
    updated_at: datetime
    offered_at: datetime | None
    valid_until: date | None
    accepted_at: datetime | None
    withdrawn_at: datetime | None
    superseded_at: datetime | None
    superseded_by: UUID | None
    sealed: int
    client: Any
    client_sha256: str
    client_erased_at: datetime | None


class Quote(QuoteHead):
    """A row of `quotes` with what there still is of its client."""

    basis: Any
    summary: Any
    short: Any
    short_singly: Any


class ShortQuote(QuoteHead):
    """A quote with what is answered of it in short, and the job that it became."""

    short: Fragment
    job_id: UUID | None


class QuoteTotals(QuoteHead):
    """A quote with its totals."""

    summary: Any


class QuoteSummary(TypedDict):
    """What a list of jobs says of the quote that a job came from, and how many parts it has."""

    id: UUID
    reference: str
    material: str
    bags: int
    undeclared: Any
    client: Any
    client_erased_at: datetime | None
    parts: int


class QuoteOption(TypedDict):
    """A row of `quote_options`."""

    quote_id: UUID
    option: str
    text: str
    body: Any
    basis: Any
    summary: Any
    short: Any
    short_singly: Any
    total: Decimal


class QuoteCavity(TypedDict):
    """A row of `quote_cavities`."""

    quote_id: UUID
    position: int
    option: str
    label: str
    element: str
    mass_kg: float
    surveyed: Any
    planned: Deflated
    count: int
    single: Deflated | None
    line: Any
    single_line: Any


class QuoteLine(TypedDict):
    """A cavity as a short answer reads it."""

    label: str
    count: int
    line: Any
    single_line: Any


class Client(TypedDict):
    """A row of `clients`."""

    quote_id: UUID
    data: Any
    salt: str | None
    sha256: str
    erased_at: datetime | None
    reason: str | None
    key_id: UUID | None
