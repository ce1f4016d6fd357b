"""Price lists: found by their currency and the day."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from service.engine.plan.price_list import PriceList
from service.usecases.base.context import Context, reads, writes
from service.usecases.firm import dated


@reads
def listed(connection: Connection, context: Context) -> Mapping[str, Any]:
    """Every list, oldest first."""
    return dated.listed(connection, context, "price_lists")


@writes
def add(connection: Connection, context: Context, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Add a list; it takes over in its currency from its day on."""
    return dated.add(
        connection,
        context,
        "price_lists",
        PriceList,
        code=body["currency"],
        in_force_from=body["in_force_from"],
        data=body,
    )
