"""The firm's material across its jobs: what is there, and what has to be ordered."""

from typing import Any

from flask import Response

from schemas.stock import OrderQuery, OrderTableQuery, StockQuery, StockTableQuery
from service.api import spoken
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.api.conditional import attached, pdf
from service.api.paging import next_link
from service.api.sheets.csv_file import CSV, table
from service.usecases.work import stock

blp = Blueprint("stock", __name__, url_prefix="/v1", description="Material by lot, and order lists.")
TEXT = {"type": "string"}
BINARY = {"type": "string", "format": "binary"}


@blp.route("/stock", methods=["GET"])
@needs("office")
@blp.arguments(StockQuery, location="query")
@blp.response(200, stock.Stock, headers_of=next_link)
def read(query: dict[str, Any]) -> Any:
    """A page of the firm's stock by material and lot, from what all of its jobs say; newest lots first."""
    return stock.read(context(), query["limit"], query.get("after"), query.get("lot"))


@blp.route("/exports/stock", methods=["GET"])
@needs("office")
@blp.arguments(StockTableQuery, location="query")
@blp.response(200, content_type=CSV, schema=TEXT)
def export(query: dict[str, Any]) -> Response:
    """The same as CSV, as many lots as a table has; the Link header names the rest, if there is any."""
    page = stock.read(context(), stock.MOST_ROWS, query.get("after"), query.get("lot"))
    answer = _table(page["items"], query["decimal_mark"], "stock.csv")
    answer.headers.update(next_link(page))
    return answer


@blp.route("/orders", methods=["GET"])
@needs("office")
@blp.arguments(OrderQuery, location="query")
@blp.response(200, stock.Orders)
def orders(query: dict[str, Any]) -> Any:
    """What to order for the open jobs that crews are at on these days, or for those of these numbers."""
    return stock.orders(context(), stock.For(**query))


@blp.route("/exports/orders", methods=["GET"])
@needs("office")
@blp.arguments(OrderTableQuery, location="query")
@blp.response(200, content_type=CSV, schema=TEXT)
def export_orders(query: dict[str, Any]) -> Response:
    """The same as CSV."""
    mark = query.pop("decimal_mark")
    found = stock.orders(context(), stock.For(**query))["items"]
    rows = [{**row, "jobs": " ".join(row["jobs"])} for row in found]
    return _table(rows, mark, "orders.csv")


@blp.route("/orders/document", methods=["GET"])
@needs("office")
@blp.arguments(OrderQuery, location="query")
@blp.response(200, content_type="application/pdf", schema=BINARY)
def document(query: dict[str, Any]) -> Any:
    """The same as a page of PDF, in the language that is asked for, made anew each time."""
    return pdf(stock.order_paper(context(), stock.For(**query), spoken.asked_for()))


def _table(found: list[dict[str, Any]], mark: str, name: str) -> Response:
    heads = list(found[0]) if found else []
    rows: list[list[Any]] = [list(heads), *([row[head] for head in heads] for row in found)]
    return attached(table(rows, mark), CSV, name)
