"""Who accepted what was offered, or refused it: a quote, or what was added to its job.

Apart, as clients are: it says who somebody is.
"""

from datetime import datetime
from typing import Any, TypedDict
from uuid import UUID

from sqlalchemy import JSON, CheckConstraint, Column, ForeignKey, Index, String, Table, Uuid

from service.store.layout.columns import digest, erased_at, metadata, of_firm
from service.store.types import Instant

acceptances = Table(
    "acceptances",
    metadata,
    Column("owner_id", Uuid, primary_key=True),
    of_firm(),
    # In whose chain it is sealed.
    Column("quote_id", Uuid, ForeignKey("quotes.id"), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("by", String(12), CheckConstraint("\"by\" IN ('client', 'office')", name="by"), nullable=False),
    Column("data", JSON(none_as_null=True)),
    Column("salt", String(32)),
    digest("sha256"),
    digest("document_sha256", nullable=True),
    # Which of a quote's options; null where there was nothing to choose.
    Column("option", String(1)),
    Column("said_at", Instant, nullable=False),
    Column("link_id", Uuid),
    Column("key_id", Uuid, ForeignKey("keys.id")),
    erased_at(),
    CheckConstraint(
        "(data IS NULL) = (erased_at IS NOT NULL) AND (salt IS NULL) = (erased_at IS NOT NULL)", name="erased"
    ),
    Index(None, "quote_id"),
)


class Acceptance(TypedDict):
    """A row of `acceptances`."""

    owner_id: UUID
    firm_id: UUID
    quote_id: UUID
    kind: str
    by: str
    data: Any
    salt: str | None
    sha256: str
    document_sha256: str | None
    option: str | None
    said_at: datetime
    link_id: UUID | None
    key_id: UUID | None
    erased_at: datetime | None
