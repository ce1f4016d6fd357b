"""Delivering events by the open convention Standard Webhooks: signed, with an id and the time of the attempt.

An event is delivered at least once: it has the same id each time, by which a receiver knows it again.
Events are not held up by one another, so they may arrive in another order than `position` says.
"""

import base64
import hashlib
import hmac
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from uuid import UUID

import orjson
from sqlalchemy import Connection

from service import tracing
from service.engine.ground.messages import message
from service.errors import Erased, NotDelivered
from service.store import deliveries, events, subscriptions
from service.store.row_types import Event, Subscription
from service.usecases.base.context import Context, loads, writes
from service.usecases.base.events import shown
from service.usecases.base.json import to_json
from service.usecases.base.locked import SIGNING, unlocked
from service.usecases.firm import receivers

RESTS = timedelta(minutes=1)
"""For so long nothing else is tried at a receiver that did not take something."""
PREFIX = "whsec_"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Due:
    """An event that is to be delivered, and where."""

    subscription: Subscription
    event: Event


def deliver(context: Context, delivery_id: UUID) -> None:
    """Deliver an event; raises NotDelivered, and then lets the receiver rest. A worker's to call."""
    due = _due(context, delivery_id)
    if due is None:
        return
    try:
        content = orjson.dumps(to_json(shown(due.event)))
        headers = _headers(context, due, content)
        with tracing.span("delivery"):
            receivers.call(due.subscription["url"], content, headers, allowed=context.settings.deliver_to)
    except NotDelivered:
        _rest(context, due.subscription["id"])
        raise
    _delivered(context, delivery_id, due.subscription["id"])


@loads
def _due(connection: Connection, _context: Context, delivery_id: UUID) -> _Due | None:
    delivery = deliveries.by_id(connection, delivery_id)
    if delivery is None:
        return None
    (event,) = events.of_ids(connection, [delivery["event_id"]])
    subscription = subscriptions.by_id(connection, delivery["subscription_id"])
    assert subscription is not None
    return _Due(subscription=subscription, event=event)


@writes
def _delivered(connection: Connection, context: Context, delivery_id: UUID, subscription_id: UUID) -> None:
    deliveries.end(connection, delivery_id)
    subscriptions.note_delivery(connection, subscription_id, context.now)


@writes
def _rest(connection: Connection, context: Context, subscription_id: UUID) -> None:
    deliveries.rest(connection, subscription_id, context.now + RESTS)


def _headers(context: Context, due: _Due, content: bytes) -> dict[str, str]:
    name, moment = str(due.event["id"]), str(int(context.now.timestamp()))
    signed = f"{name}.{moment}.".encode() + content
    signatures = " ".join(
        f"v1,{_signature(secret, signed)}" for secret in _secrets(context, due.subscription)
    )
    return {
        "Content-Type": "application/json",
        "User-Agent": "baywright",
        "webhook-id": name,
        "webhook-timestamp": moment,
        "webhook-signature": signatures,
    }


def _secrets(context: Context, subscription: Subscription) -> list[str]:
    """What is signed by: the secret, and for a while the one before it."""
    kept: list[Any] = [subscription["secret"]]
    if subscription["old_until"] and subscription["old_until"] > context.now:
        kept.append(subscription["old_secret"])
    try:
        return [unlocked(each, context.settings.secret_key, SIGNING) for each in kept]
    except Erased:
        raise NotDelivered(message("deliveries.secret_locked")) from None


def _signature(secret: str, signed: bytes) -> str:
    key = base64.b64decode(secret.removeprefix(PREFIX))
    return base64.b64encode(hmac.new(key, signed, hashlib.sha256).digest()).decode()
