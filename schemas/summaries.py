"""Which days are summed up."""

from marshmallow import Schema

from schemas.exports import FileQuery
from schemas.fields import Day


class SummaryQuery(Schema):
    """Which days are summed up."""

    since = Day(data_key="from", required=True, metadata={"description": "The first day, in UTC."})
    until = Day(data_key="to", required=True, metadata={"description": "The last day, in UTC."})


class SummaryTableQuery(SummaryQuery, FileQuery):
    """Which days are taken away as a table, and how it is written."""
