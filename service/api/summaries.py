"""A month's summary: quotes, jobs, what was planned against what was done."""

from typing import Any

from flask import Response

from schemas.summaries import SummaryQuery, SummaryTableQuery
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import attached
from service.api.sheets.csv_file import CSV, table
from service.usecases.work import summaries

blp = Blueprint("summaries", __name__, url_prefix="/v1", description="What some days came to.")


@blp.route("/summary", methods=["GET"])
@needs("office")
@blp.arguments(SummaryQuery, location="query")
@blp.response(200, summaries.Summary)
def read(query: dict[str, Any]) -> Any:
    """What was quoted and begun on these days, as it stands now."""
    return summaries.read(context(), query["since"], query["until"])


@blp.route("/exports/summary", methods=["GET"])
@needs("office")
@blp.arguments(SummaryTableQuery, location="query")
@blp.response(200, content_type=CSV, schema={"type": "string"})
def export(query: dict[str, Any]) -> Response:
    """The same as CSV: one figure a line, with what it is of."""
    found = summaries.summary(context(), query["since"], query["until"])
    rows: list[list[Any]] = [["of", "figure", "value"], *(list(row) for row in summaries.rows(found))]
    return attached(table(rows, query["decimal_mark"]), CSV, "summary.csv")
