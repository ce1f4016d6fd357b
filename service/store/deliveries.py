"""Deliveries: an event that is on its way to a subscription, with a task that a worker does.

A row goes with its task: what was delivered is in neither table any more.
"""

from datetime import datetime
from uuid import UUID

from sqlalchemy import Connection, Select, and_, select

from service.store.row_types import Delivery, DeliveryState, every, one
from service.store.tables import deliveries, tasks

KIND = "delivery"


def add(connection: Connection, delivery: Delivery) -> None:
    """Add a delivery; its task is the caller's to add."""
    connection.execute(deliveries.insert().values(**delivery))


def by_id(connection: Connection, delivery_id: UUID) -> Delivery | None:
    """A delivery that is still to be made."""
    return one(Delivery, connection.execute(select(deliveries).where(deliveries.c.id == delivery_id)))


def end(connection: Connection, delivery_id: UUID) -> None:
    """Take a delivery away that was made; its worker ends the task."""
    connection.execute(deliveries.delete().where(deliveries.c.id == delivery_id))


def states(connection: Connection, firm_id: UUID) -> list[DeliveryState]:
    """How each of a firm's deliveries stands, the oldest first."""
    of_task = and_(tasks.c.kind == KIND, tasks.c.subject_id == deliveries.c.id)
    found = (
        select(
            deliveries.c.subscription_id,
            *(tasks.c[name] for name in ("attempts", "created_at", "last_error", "dead_at")),
        )
        .join(tasks, of_task)
        .where(deliveries.c.firm_id == firm_id)
        .order_by(tasks.c.created_at, tasks.c.id)
    )
    return every(DeliveryState, connection.execute(found))


def _to(subscription_id: UUID) -> Select[tuple[UUID]]:
    return select(deliveries.c.id).where(deliveries.c.subscription_id == subscription_id)


def rest(connection: Connection, subscription_id: UUID, until: datetime) -> None:
    """Let what is due for a receiver wait until then: others are not to wait for one that hangs."""
    waiting = (
        tasks.c.kind == KIND,
        tasks.c.subject_id.in_(_to(subscription_id)),
        tasks.c.leased_until.is_(None),
        tasks.c.due_at < until,
    )
    connection.execute(tasks.update().where(*waiting).values(due_at=until))


def drop(connection: Connection, subscription_id: UUID) -> None:
    """Take away all that is on its way to a subscription."""
    mine = (tasks.c.kind == KIND, tasks.c.subject_id.in_(_to(subscription_id)))
    connection.execute(tasks.delete().where(*mine))
    connection.execute(deliveries.delete().where(deliveries.c.subscription_id == subscription_id))
