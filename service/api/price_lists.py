"""Price lists: dated, in force from a day."""

from typing import Any

from schemas.price_lists import PriceList, PriceListBody, PriceLists
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
@blp.response(201, PriceList)
def add(body: dict[str, Any]) -> Any:
    """Add a list; it takes over from its day on."""
    return price_lists.add(context(), body)
