"""Subscriptions: where a firm's own systems want to be told of which events."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, select

from service.store.row_types import Subscription, every, one
from service.store.tables import subscriptions


def of_firm(connection: Connection, firm_id: UUID, *, hold: bool = False) -> list[Subscription]:
    """A firm's subscriptions by their codes; `hold` keeps them from going until the transaction ends."""
    mine = select(subscriptions).where(subscriptions.c.firm_id == firm_id).order_by(subscriptions.c.code)
    held = mine.with_for_update(read=True, key_share=True) if hold else mine
    return every(Subscription, connection.execute(held))


def by_code(connection: Connection, *, firm_id: UUID, code: str, lock: bool = False) -> Subscription | None:
    """A firm's subscription of this code; `lock` holds it until the transaction ends."""
    mine = select(subscriptions).where(subscriptions.c.firm_id == firm_id, subscriptions.c.code == code)
    return one(Subscription, connection.execute(mine.with_for_update() if lock else mine))


def by_id(connection: Connection, subscription_id: UUID) -> Subscription | None:
    """The subscription of this id."""
    found = select(subscriptions).where(subscriptions.c.id == subscription_id)
    return one(Subscription, connection.execute(found))


def add(connection: Connection, row: Mapping[str, Any]) -> None:
    """Add a subscription."""
    connection.execute(subscriptions.insert().values(**row))


def change(connection: Connection, subscription_id: UUID, values: Mapping[str, Any]) -> None:
    """Put other values in the place of some of a subscription's."""
    connection.execute(subscriptions.update().where(subscriptions.c.id == subscription_id).values(**values))


def note_delivery(connection: Connection, subscription_id: UUID, now: datetime) -> None:
    """Note when something was last delivered."""
    change(connection, subscription_id, {"delivered_at": now})


def remove(connection: Connection, subscription_id: UUID) -> None:
    """Take a subscription away; nothing may be on its way to it any more."""
    connection.execute(subscriptions.delete().where(subscriptions.c.id == subscription_id))
