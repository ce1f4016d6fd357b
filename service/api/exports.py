"""Tables to take away, as CSV: quotes, parts, entries and certificates of some days."""

from typing import Any

from flask import Response

from schemas.exports import ExportQuery
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import attached
from service.api.sheets.csv_file import CSV, table
from service.usecases.work import exports

blp = Blueprint(
    "exports",
    __name__,
    url_prefix="/v1/exports",
    description="Tables to take away as CSV (RFC 4180): the first line has the names, numbers stay numbers.",
)
TEXT = {"type": "string"}


def _table(kind: str, query: dict[str, Any]) -> Response:
    found = exports.rows(context(), kind, query["since"], query["until"])
    heads = list(dict.fromkeys(name for row in found for name in row))
    rows: list[list[Any]] = [list(heads), *([row.get(name) for name in heads] for row in found)]
    return attached(table(rows, query["decimal_mark"]), CSV, f"{kind}.csv")


@blp.route("/quotes", methods=["GET"])
@needs("sales", "office")
@blp.arguments(ExportQuery, location="query")
@blp.response(200, content_type=CSV, schema=TEXT)
def quotes(query: dict[str, Any]) -> Any:
    """Quotes that were drafted on these days."""
    return _table("quotes", query)


@blp.route("/parts", methods=["GET"])
@needs("sales", "office")
@blp.arguments(ExportQuery, location="query")
@blp.response(200, content_type=CSV, schema=TEXT)
def parts(query: dict[str, Any]) -> Any:
    """The parts of jobs that began on these days, one by one, as they were planned."""
    return _table("parts", query)


@blp.route("/entries", methods=["GET"])
@needs("sales", "office")
@blp.arguments(ExportQuery, location="query")
@blp.response(200, content_type=CSV, schema=TEXT)
def entries(query: dict[str, Any]) -> Any:
    """Site entries that were received on these days; what lies deeper than a cell is JSON."""
    return _table("entries", query)


@blp.route("/certificates", methods=["GET"])
@needs("sales", "office")
@blp.arguments(ExportQuery, location="query")
@blp.response(200, content_type=CSV, schema=TEXT)
def certificates(query: dict[str, Any]) -> Any:
    """Certificates that were issued on these days, and what has become of them."""
    return _table("certificates", query)
