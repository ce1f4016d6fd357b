"""What is taken away as a table: of which days, and how decimals are written in it."""

from marshmallow import Schema, fields, validate

from schemas.fields import Day
from schemas.quotes import RevisionQuery

MARKS = ["point", "comma"]


def mark() -> fields.String:
    """How decimals are written: with a comma cells are separated by semicolons."""
    return fields.String(
        load_default="point",
        validate=validate.OneOf(MARKS),
        metadata={"description": "How decimals are written; with a comma, semicolons separate cells."},
    )


class FileQuery(Schema):
    """How a file is written."""

    decimal_mark = mark()


class SurveyQuery(FileQuery, RevisionQuery):
    """Which revision is taken away as a file."""


class ExportQuery(FileQuery):
    """Which days are taken away."""

    since = Day(required=True, metadata={"description": "The first day, in UTC."})
    until = Day(required=True, metadata={"description": "The last day, in UTC."})
