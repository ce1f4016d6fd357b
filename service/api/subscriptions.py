"""Subscriptions: where the firm's own systems are told of events, by Standard Webhooks."""

from typing import Any

from schemas.subscriptions import SecretBody, SubscriptionBody
from service.api import idempotency
from service.api.auth import context, context_once
from service.api.blueprint import Blueprint, needs
from service.usecases.firm import subscriptions

blp = Blueprint(
    "subscriptions", __name__, url_prefix="/v1/subscriptions", description="Who is told of which events."
)


@blp.route("", methods=["GET"])
@needs("office")
@blp.response(200, subscriptions.Subscriptions)
def listed() -> Any:
    """The firm's subscriptions and how their deliveries go."""
    return subscriptions.listed(context())


@blp.route("/<code:code>", methods=["GET"])
@needs("office")
@blp.response(200, subscriptions.Subscription)
def read(code: str) -> Any:
    """A subscription and how its deliveries go."""
    return subscriptions.read(context(), code)


@blp.route("/<code:code>", methods=["PUT"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("office")
@blp.arguments(SubscriptionBody)
@blp.response(200, subscriptions.SubscriptionMade)
def put(body: dict[str, Any], code: str) -> Any:
    """Make a subscription, whose secret is shown this once, or change one; send an Idempotency-Key."""
    return subscriptions.put(context_once(), code, subscriptions.Wanted(**body))


@blp.route("/<code:code>/secret", methods=["POST"])
@blp.doc(parameters=[idempotency.REQUIRED])
@needs("office")
@blp.arguments(SecretBody)
@blp.response(200, subscriptions.SubscriptionMade)
def renew(body: dict[str, Any], code: str) -> Any:
    """Give a subscription another secret; the old one signs too for some hours. Send an Idempotency-Key."""
    return subscriptions.renew(context_once(), code, body["grace_hours"])


@blp.route("/<code:code>", methods=["DELETE"])
@needs("office")
@blp.response(204)
def remove(code: str) -> None:
    """End a subscription with all that is on its way to it; the events stay listed."""
    subscriptions.remove(context(), code)
