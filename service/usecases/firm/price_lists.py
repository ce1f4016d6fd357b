"""Price lists: found by their currency and the day."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.plan.price_list import PriceList
from service.usecases.base.context import Context, reads, writes
from service.usecases.firm import dated, touched

KIND = "price_lists"


@reads
def listed(connection: Connection, context: Context) -> Mapping[str, Any]:
    """Every list, oldest first."""
    return dated.listed(connection, context, KIND)


@reads
def last(connection: Connection, context: Context, code: str, on: date) -> Mapping[str, Any]:
    """The list that is in force on a day."""
    return dated.last(connection, context, KIND, code=code, on=on)


@writes
def add(connection: Connection, context: Context, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Add a list, in force from its day on; drafts that it touches are named."""
    return _added(connection, context, body)


@writes
def change(
    connection: Connection, context: Context, body: Mapping[str, Any], after: UUID
) -> Mapping[str, Any]:
    """Add a list that was made of another, which must still be the one in force."""
    dated.refuse_unchanged(connection, context, KIND, PriceList, after=after, version=_version(body))
    return _added(connection, context, body)


def _version(body: Mapping[str, Any]) -> dated.Version:
    return {"code": body["currency"], "in_force_from": body["in_force_from"], "data": body}


def _added(connection: Connection, context: Context, body: Mapping[str, Any]) -> Mapping[str, Any]:
    version = _version(body)
    added = dated.add(connection, context, KIND, PriceList, **version)
    drafts = touched.drafts(connection, context, "currency", version["code"], version["in_force_from"])
    return {**added, "touches": drafts}
