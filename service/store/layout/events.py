"""What the firm's own systems are told: what happened, who wants to hear of it, and what is on its way."""

from datetime import datetime
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import JSON, Column, ForeignKey, Index, Integer, String, Table, UniqueConstraint, Uuid

from service.store.layout.columns import digest, metadata, of_firm, own_id
from service.store.types import Instant

# Written with the change; a firm's positions are given out in the order of commit, without a gap, and each
# event's digest covers those before it.
events = Table(
    "events",
    metadata,
    own_id(),
    of_firm(),
    Column("position", Integer, nullable=False),
    Column("kind", String(40), nullable=False),
    Column("subject_id", Uuid, nullable=False),
    Column("data", JSON, nullable=False),
    Column("happened_at", Instant, nullable=False),
    digest("chain_sha256"),
    UniqueConstraint("firm_id", "position"),
)

subscriptions = Table(
    "subscriptions",
    metadata,
    own_id(),
    of_firm(),
    Column("code", String(40), nullable=False),
    Column("url", String(500), nullable=False),
    Column("kinds", JSON, nullable=False),
    # Under the service's secret key: whoever has the database alone can sign nothing.
    Column("secret", JSON, nullable=False),
    # The one before signs too until then, so that a receiver can change over.
    Column("old_secret", JSON(none_as_null=True)),
    Column("old_until", Instant),
    Column("created_at", Instant, nullable=False),
    Column("delivered_at", Instant),
    UniqueConstraint("firm_id", "code"),
)

# Taken away when it was delivered: what is here is on its way, or was given up.
deliveries = Table(
    "deliveries",
    metadata,
    own_id(),
    of_firm(),
    Column("subscription_id", Uuid, ForeignKey("subscriptions.id"), nullable=False),
    Column("event_id", Uuid, ForeignKey("events.id"), nullable=False),
    Index(None, "subscription_id"),
    Index(None, "firm_id"),
)


class Event(TypedDict):
    """A row of `events`."""

    id: UUID
    firm_id: UUID
    position: int
    kind: str
    subject_id: UUID
    data: Any
    happened_at: datetime
    chain_sha256: str


class Subscription(TypedDict):
    """A row of `subscriptions`."""

    id: UUID
    firm_id: UUID
    code: str
    url: str
    kinds: list[str]
    secret: Any
    old_secret: Any
    old_until: datetime | None
    created_at: datetime
    delivered_at: datetime | None


class Delivery(TypedDict):
    """A row of `deliveries`."""

    id: UUID
    firm_id: UUID
    subscription_id: UUID
    event_id: UUID


class DeliveryState(TypedDict):
    """How a delivery stands: how often it was begun, what the last attempt ended by, and whether for good."""

    subscription_id: UUID
    attempts: int
    created_at: datetime
    last_error: Any
    dead_at: datetime | None
