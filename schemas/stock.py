"""Which jobs material is ordered for, and how a table of it is written."""

from marshmallow import Schema, fields

from schemas.exports import FileQuery
from schemas.fields import Day, PageSize, label


class OrderQuery(Schema):
    """Which jobs material is ordered for: those of some days, or those of these numbers."""

    since = Day(data_key="from", metadata={"description": "The first day that crews are at the jobs."})
    until = Day(data_key="to", metadata={"description": "The last of these days."})
    numbers = fields.List(
        label(), data_key="job", metadata={"description": "Numbers of jobs, each by a `job` of its own."}
    )


class OrderTableQuery(OrderQuery, FileQuery):
    """The same, and how the table is written."""


class LotQuery(Schema):
    """Which lots are listed, the newest first."""

    lot = label(metadata={"description": "The lot's name, whole; all lots without it."})
    after = fields.UUID(metadata={"description": "Where the page begins: `next` of the page before."})


class StockQuery(LotQuery):
    """The same, and how many at once."""

    limit = PageSize()


class StockTableQuery(LotQuery, FileQuery):
    """The same, and how a table of up to 10,000 of them is written."""
