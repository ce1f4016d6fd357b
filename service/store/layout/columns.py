"""The columns that many tables have."""

from typing import Any

from sqlalchemy import (
    JSON,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Uuid,
)

from service.store.types import Instant

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def own_id() -> Column[Any]:
    return Column("id", Uuid, primary_key=True)


def of_firm() -> Column[Any]:
    return Column("firm_id", Uuid, ForeignKey("firms.id"), nullable=False)


def digest(name: str, *, nullable: bool = False) -> Column[Any]:
    return Column(name, String(64), CheckConstraint(f"length({name}) = 64", name=name), nullable=nullable)


def content() -> tuple[Column[Any], Column[Any], Column[Any]]:
    """What a row keeps, and its size: in the row itself, or in an object (store/objects.py) that it names."""
    return (
        Column("content", LargeBinary),
        Column("object_key", String(300)),
        Column("size_bytes", Integer, nullable=False),
    )


HAS_CONTENT = (
    "(content IS NULL OR object_key IS NULL) "
    "AND (content IS NULL AND object_key IS NULL) = (erased_at IS NOT NULL)"
)


def erased_at() -> Column[Any]:
    """When what is of the client in a row was erased; the digest of what was there stays."""
    return Column("erased_at", Instant)


def dated(name: str) -> Table:
    """A kind of thing that is replaced by a newer version from a day on, and never changed."""
    return Table(
        name,
        metadata,
        own_id(),
        of_firm(),
        Column("code", String(40), nullable=False),
        Column("in_force_from", Date, nullable=False),
        Column("data", JSON, nullable=False),
        Column("created_at", Instant, nullable=False),
        Index(None, "firm_id", "code", "in_force_from"),
    )
