"""What jobs say of material, added up: it repeats what entries say, so that a stock is read and not summed.

Amounts are whole millionths: what is added and taken away again leaves nothing behind.
"""

from typing import TypedDict
from uuid import UUID

from sqlalchemy import BigInteger, Column, Index, PrimaryKeyConstraint, String, Table, UniqueConstraint

from service.store.layout.columns import metadata, of_firm, own_id

stock_lots = Table(
    "stock_lots",
    metadata,
    # Given when a job first speaks of the lot: they are listed by it, newest first.
    own_id(),
    of_firm(),
    # Empty where none was named.
    Column("lot", String(80), nullable=False),
    Column("material", String(80), nullable=False),
    Column("delivered_bags", BigInteger, nullable=False),
    Column("returned_bags", BigInteger, nullable=False),
    Column("left_over_bags", BigInteger, nullable=False),
    Column("taken_bags", BigInteger, nullable=False),
    Column("blown_bags", BigInteger, nullable=False),
    Column("reclaimed_kg", BigInteger, nullable=False),
    Column("taken_kg", BigInteger, nullable=False),
    UniqueConstraint("firm_id", "lot", "material"),
    Index(None, "firm_id", "id"),
)

# Bags left over less bags taken over, of all of a material's lots together.
stock_materials = Table(
    "stock_materials",
    metadata,
    of_firm(),
    Column("material", String(80), nullable=False),
    Column("there_bags", BigInteger, nullable=False),
    PrimaryKeyConstraint("firm_id", "material"),
)


class StockLot(TypedDict):
    """A row of `stock_lots`."""

    id: UUID
    firm_id: UUID
    lot: str
    material: str
    delivered_bags: int
    returned_bags: int
    left_over_bags: int
    taken_bags: int
    blown_bags: int
    reclaimed_kg: int
    taken_kg: int


class StockMaterial(TypedDict):
    """A row of `stock_materials`."""

    firm_id: UUID
    material: str
    there_bags: int
