"""What a firm is and works by: its crews, keys, dated data and numbers."""

from datetime import date, datetime
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import JSON, Column, ForeignKey, Index, Integer, String, Table, UniqueConstraint, Uuid

from service.store.layout.columns import dated, digest, metadata, of_firm, own_id
from service.store.types import Instant

firms = Table(
    "firms",
    metadata,
    own_id(),
    Column("code", String(40), nullable=False, unique=True),
    Column("data", JSON, nullable=False),
    Column("created_at", Instant, nullable=False),
)

crews = Table(
    "crews",
    metadata,
    own_id(),
    of_firm(),
    Column("name", String(80), nullable=False),
    Column("created_at", Instant, nullable=False),
    UniqueConstraint("firm_id", "name"),
)

keys = Table(
    "keys",
    metadata,
    own_id(),
    of_firm(),
    # A crew's link is a key that opens the crew's own jobs only.
    Column("crew_id", Uuid, ForeignKey("crews.id")),
    Column("prefix", String(12), nullable=False),
    Column("label", String(80), nullable=False),
    digest("digest"),
    Column("roles", JSON, nullable=False),
    Column("created_at", Instant, nullable=False),
    Column("last_used_at", Instant),
    Column("revoked_at", Instant),
    # Of keys that came in one another's place the first: what was answered to one is its successors' too.
    Column("first_id", Uuid, ForeignKey("keys.id")),
    UniqueConstraint("prefix"),
    Index(None, "firm_id", "id"),
    Index(None, "crew_id", "id"),
)

materials = dated("materials")
build_ups = dated("build_ups")
price_lists = dated("price_lists")
lances = dated("lances")
practices = dated("practices")

series = Table(
    "series",
    metadata,
    Column("firm_id", Uuid, ForeignKey("firms.id"), primary_key=True),
    Column("kind", String(20), primary_key=True),
    Column("year", Integer, primary_key=True),
    Column("last", Integer, nullable=False),
)


class Firm(TypedDict):
    """A row of `firms`."""

    id: UUID
    code: str
    data: Any
    created_at: datetime


class Crew(TypedDict):
    """A row of `crews`."""

    id: UUID
    firm_id: UUID
    name: str
    created_at: datetime


class KeyHead(TypedDict):
    """A key without its digest."""

    id: UUID
    firm_id: UUID
    crew_id: UUID | None
    prefix: str
    label: str
    roles: list[str]
    created_at: datetime
    last_used_at: datetime | None
    revoked_at: datetime | None
    first_id: UUID | None


class Key(KeyHead):
    """A row of `keys`."""

    digest: str


class KeyOfFirm(KeyHead):
    """A key without its digest, with its firm's code."""

    firm: str


class CrewLink(TypedDict):
    """A crew's key, as far as it may be shown."""

    id: UUID
    crew_id: UUID
    prefix: str
    created_at: datetime
    last_used_at: datetime | None


class Version(TypedDict):
    """A row of `materials`, `build_ups`, `price_lists`, `lances` or `practices`."""

    id: UUID
    firm_id: UUID
    code: str
    in_force_from: date
    data: Any
    created_at: datetime
