"""Subscriptions: the office says where the firm's own systems are told of which events."""

import base64
import secrets
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated, Any

from sqlalchemy import Connection
from uuid6 import uuid7

from service.engine.ground.messages import Message, message
from service.engine.ground.vocabulary import EventKind
from service.errors import Conflict, Fault, InvalidInput, NotDelivered, NotKnown
from service.store import deliveries, subscriptions
from service.store.row_types import DeliveryState, some
from service.store.row_types import Subscription as Row
from service.usecases.base import journal
from service.usecases.base.context import Context, reads, writes, writes_link
from service.usecases.base.json import from_json
from service.usecases.base.locked import SIGNING, locked
from service.usecases.firm.deliveries import PREFIX
from service.usecases.firm.receivers import must_be_callable

MOST = 20
SECRET_BYTES = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Subscription:
    """Where events are delivered, and how that goes."""

    code: Annotated[str, "what the office calls it"]
    url: Annotated[str, "where events are posted to"]
    events: Annotated[tuple[EventKind, ...], "what is delivered"]
    created_at: Annotated[datetime, "when it was made"]
    delivered_at: Annotated[datetime | None, "when something was last delivered; null: never"]
    waiting: Annotated[int, "how many events are on their way"]
    waiting_since: Annotated[datetime | None, "since when the oldest of them is; null: none is"]
    given_up: Annotated[int, "how many were given up after three days: they are still listed as events"]
    error: Annotated[Message | None, "what the last attempt at the oldest of them ended by"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SubscriptionMade(Subscription):
    """A subscription that was just made or changed."""

    secret: Annotated[str | None, "what deliveries are signed by: shown this once; null: it is as it was"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Subscriptions:
    """The firm's subscriptions."""

    items: Annotated[tuple[Subscription, ...], "the subscriptions by their codes"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What the office wants of a subscription."""

    url: str
    events: Sequence[EventKind]


@reads
def listed(connection: Connection, context: Context) -> Subscriptions:
    """The firm's subscriptions, and how their deliveries go."""
    standing = _standing(connection, context)
    rows = subscriptions.of_firm(connection, context.firm_id)
    return Subscriptions(items=tuple(Subscription(**_shown(row, standing[row["id"]])) for row in rows))


@reads
def read(connection: Connection, context: Context, code: str) -> Subscription:
    """A subscription, and how its deliveries go."""
    return Subscription(**_answer(connection, context, code))


@writes_link
def put(connection: Connection, context: Context, code: str, wanted: Wanted) -> SubscriptionMade:
    """Make a subscription, whose secret is shown this once, or change where and what it delivers."""
    try:
        must_be_callable(wanted.url, context.settings.deliver_to)
    except NotDelivered as error:
        raise InvalidInput(Fault("/url", error.detail)) from None
    journal.hold(connection, context.firm_id)
    values = {"url": wanted.url, "kinds": sorted({each.value for each in wanted.events})}
    there = subscriptions.by_code(connection, firm_id=context.firm_id, code=code, lock=True)
    if there:
        subscriptions.change(connection, there["id"], values)
        return SubscriptionMade(**_answer(connection, context, code), secret=None)
    if len(subscriptions.of_firm(connection, context.firm_id)) >= MOST:
        raise Conflict(message("firm.subscriptions_full", most=MOST))
    secret = _new_secret()
    row = {"id": uuid7(), "firm_id": context.firm_id, "code": code, "created_at": context.now, **values}
    subscriptions.add(connection, {**row, "secret": locked(secret, context.settings.secret_key, SIGNING)})
    return SubscriptionMade(**_answer(connection, context, code), secret=secret)


@writes_link
def renew(connection: Connection, context: Context, code: str, grace_hours: int) -> SubscriptionMade:
    """Give a subscription another secret, shown this once; the one before signs too for some hours."""
    row, secret = _found(connection, context, code, lock=True), _new_secret()
    values = {
        "secret": locked(secret, context.settings.secret_key, SIGNING),
        "old_secret": row["secret"],
        "old_until": context.now + timedelta(hours=grace_hours),
    }
    subscriptions.change(connection, row["id"], values)
    return SubscriptionMade(**_answer(connection, context, code), secret=secret)


@writes
def remove(connection: Connection, context: Context, code: str) -> None:
    """End a subscription with all that is on its way; the events themselves stay."""
    # Whoever tells of something holds it: from here on nothing is added to it.
    row = _found(connection, context, code, lock=True)
    deliveries.drop(connection, row["id"])
    subscriptions.remove(connection, row["id"])


def _new_secret() -> str:
    return PREFIX + base64.b64encode(secrets.token_bytes(SECRET_BYTES)).decode()


def _found(connection: Connection, context: Context, code: str, *, lock: bool = False) -> Row:
    row = subscriptions.by_code(connection, firm_id=context.firm_id, code=code, lock=lock)
    if row is None:
        raise NotKnown(message("firm.no_subscription", code=code))
    return row


def _answer(connection: Connection, context: Context, code: str) -> dict[str, Any]:
    row = _found(connection, context, code)
    return _shown(row, _standing(connection, context)[row["id"]])


def _standing(connection: Connection, context: Context) -> dict[Any, list[DeliveryState]]:
    """The deliveries that are there still, by subscription, the oldest first."""
    found: dict[Any, list[DeliveryState]] = defaultdict(list)
    for each in deliveries.states(connection, context.firm_id):
        found[each["subscription_id"]].append(each)
    return found


def _shown(row: Row, standing: Sequence[DeliveryState]) -> dict[str, Any]:
    waiting = [each for each in standing if each["dead_at"] is None]
    error = next((each["last_error"] for each in standing if each["last_error"]), None)
    return {
        **some(row, ("code", "url", "created_at", "delivered_at")),
        "events": tuple(EventKind(each) for each in row["kinds"]),
        "waiting": len(waiting),
        "waiting_since": waiting[0]["created_at"] if waiting else None,
        "given_up": len(standing) - len(waiting),
        "error": from_json(Message, error) if error else None,
    }
