"""Which jobs material is ordered for, and how a table of it is written."""

from marshmallow import Schema, fields

from schemas.exports import FileQuery
from schemas.fields import Day, label


class OrderQuery(Schema):
    """Which jobs material is ordered for: those of some days, or those of these numbers."""

    since = Day(data_key="from", metadata={"description": "The first day that crews are at the jobs."})
    until = Day(data_key="to", metadata={"description": "The last of these days."})
    numbers = fields.List(
        label(), data_key="job", metadata={"description": "Numbers of jobs, each by a `job` of its own."}
    )


class OrderTableQuery(OrderQuery, FileQuery):
    """The same, and how the table is written."""


class StockTableQuery(FileQuery):
    """How a table is written."""
