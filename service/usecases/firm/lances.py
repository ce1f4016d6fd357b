"""Lances: the contractor's own."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection

from service.engine.survey.practice import Lance
from service.usecases.base.context import Context, reads, writes
from service.usecases.firm import dated


@reads
def listed(connection: Connection, context: Context) -> Mapping[str, Any]:
    """The lances in use."""
    return dated.in_use(connection, context, "lances")


@writes
def put(connection: Connection, context: Context, code: str, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Add a lance, or measure one anew; it is in use from today."""
    return dated.put(
        connection,
        context,
        "lances",
        Lance,
        code=code,
        in_force_from=context.now.date(),
        data={**body, "code": code},
    )
