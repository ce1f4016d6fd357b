"""Supplements as they are answered: to a crew without their price, to sales and office with it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from types import MappingProxyType
from typing import Annotated, Any
from uuid import UUID

from service.engine.ground.shapes import Range
from service.engine.ground.vocabulary import SupplementState
from service.engine.plan.lines import CavityLine
from service.engine.plan.price import Price
from service.engine.plan.supplement import More
from service.store.row_types import SupplementLine
from service.usecases.base.context import Context
from service.usecases.base.json import to_json
from service.usecases.work.agreed import Supplement
from service.usecases.work.short import one_by_one

SEES_PRICES = frozenset({"sales", "office"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Recount:
    """How many of a cavity there are on site."""

    cavity: Annotated[str, "label of the cavity that it is one of"]
    count: Annotated[int, Range(0), "how many of it there are"]
    change: Annotated[int, "how many more that is than there were on the plan; fewer, below 0"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedLine:
    """Something else that came up, in the words of who proposes it."""

    text: Annotated[str, "what it is"]
    quantity: Annotated[float, "how much of it"]
    unit: Annotated[str, "in which unit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenOver:
    """That the office takes over what the client did not accept."""

    taken_at: Annotated[datetime, "when"]
    by: Annotated[str, "who of the office says so"]
    reason: Annotated[str, "why; the certificate prints it"]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplementAnswer:
    """A supplement: what came up on the way, and how far it has come."""

    id: Annotated[UUID, "its id, made by who proposed it"]
    number: Annotated[str, "what people call it"]
    state: Annotated[SupplementState, "how far it has come"]
    version: Annotated[int, "counts up with every step"]
    proposed_at: Annotated[datetime, "when the service received it"]
    by: Annotated[str, "who proposed it"]
    remark: Annotated[str | None, "what was remarked with it"]
    agreed: Annotated[bool, "whether its parts can be certified: it is accepted, or taken over"]
    parts: Annotated[tuple[str, ...], "labels of the parts that it adds"]
    dropped: Annotated[tuple[str, ...], "labels of the parts that are left out by it"]
    counts: Annotated[tuple[Recount, ...], "of which cavities there are more, or fewer"]
    lines: Annotated[tuple[ProposedLine, ...], "what else came up"]
    cavities: Annotated[tuple[CavityLine, ...], "one line for each part that it adds"]
    adds: Annotated[More, "what the job takes more by it"]
    offered_at: Annotated[datetime | None, "when it was offered last"]
    valid_until: Annotated[date | None, "the last day that the offer holds"]
    accepted_at: Annotated[datetime | None, "when it was accepted"]
    reason: Annotated[str | None, "why it was refused or withdrawn"]
    refused_by: Annotated[str | None, "the client who refused it by his link; null once erased"]
    taken_over: Annotated[TakenOver | None, "that the office takes it over, and why"]
    price: Annotated[
        Price | None, "what it costs; left out for who sees no prices, and before it is offered"
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplements:
    """The supplements of a job."""

    items: Annotated[tuple[SupplementAnswer, ...], "in the order they were proposed"]


NOTHING_SAID: Mapping[str, Any] = MappingProxyType({})


def told(
    each: Supplement, lines: Iterable[SupplementLine], refusal: Mapping[str, Any] = NOTHING_SAID
) -> dict[str, Any]:
    """A supplement without its price; `lines` are of its cavities, `refusal` is the client's own."""
    row, offer = each.row, each.last("offer")
    accepted = each.last("acceptance")
    parts = [line["line"] for cavity in lines for line in one_by_one(cavity)]
    ended = next((step for step in reversed(each.steps) if step["kind"] in ("refusal", "withdrawal")), None)
    return {
        "id": each.id,
        "number": each.number,
        "state": each.state,
        "version": each.version,
        "proposed_at": row["proposed_at"],
        "by": row["by"],
        "remark": row["remark"],
        "agreed": each.is_agreed,
        "parts": [line["label"] for line in parts],
        "dropped": row["dropped"],
        "counts": row["counts"],
        "lines": row["lines"],
        "cavities": parts,
        "adds": row["summary"],
        "offered_at": offer and offer["taken_at"],
        "valid_until": offer and offer["data"]["valid_until"],
        "accepted_at": accepted and accepted["taken_at"],
        "reason": refusal.get("reason") or (ended and ended["data"].get("reason")),
        "refused_by": refusal.get("refused_by"),
        "taken_over": each.recorded["taken_over"],
    }


def answer(
    each: Supplement,
    lines: Iterable[SupplementLine],
    context: Context,
    refusal: Mapping[str, Any] = NOTHING_SAID,
) -> Mapping[str, Any]:
    """A supplement as it is answered; its price to who may see it."""
    offer = each.last("offer")
    sees = context.caller is not None and bool(context.caller.roles & SEES_PRICES)
    priced = {"price": offer["data"]["price"]} if offer and sees else {}
    shown: Mapping[str, Any] = to_json({**told(each, lines, refusal), **priced})
    return shown
