"""Price lists: dated, in force from a day."""

from typing import Any
from uuid import UUID

from schemas.price_lists import AddedPriceList, PriceListBody, PriceLists
from service.api import changes
from service.api.auth import context
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import price_lists

blp = Blueprint("price_lists", __name__, url_prefix="/v1/price-lists", description="Prices, by the day.")


@blp.route("", methods=["GET"])
@needs("sales", "office")
@blp.response(200, PriceLists)
def listed() -> Any:
    """Every list, oldest first."""
    return price_lists.listed(context())


@blp.route("", methods=["POST"])
@needs("office")
@blp.arguments(PriceListBody)
@blp.response(201, AddedPriceList)
def add(body: dict[str, Any]) -> Any:
    """Add a list; it takes over from its day on."""
    return price_lists.add(context(), body)


@blp.route("/<code:code>", methods=["PATCH"])
@blp.doc(**changes.BODY)
@needs("office")
@changes.takes_changes
@blp.response(201, AddedPriceList)
def change(code: str) -> Any:
    """Add a version: as the one in force on its day, but for what is sent; rows are found by their codes."""
    change = changes.sent(PriceListBody())
    last = price_lists.last(context(), code, changes.day_of(change))
    return price_lists.change(context(), changes.changed(PriceListBody(), last, change), UUID(last["id"]))
