"""The firm's material across its jobs, and what has to be ordered for some of them."""

import hashlib
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any
from uuid import UUID

from sqlalchemy import Connection

from service.documents.papers import order
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Market
from service.engine.site.firm_stock import StockLine, ToOrder, Wanted, delivered_bags, to_order
from service.engine.site.ledger import Ledger
from service.errors import Fault, InvalidInput
from service.store import dated, firms, jobs, stock
from service.store.row_types import Job
from service.usecases.base.context import Context, reads
from service.usecases.work import agreed, lots, rendering
from service.usecases.work.agreed import Agreements

MOST_JOBS = 500
MOST_ROWS = 10_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """The firm's stock by material and lot, newest lots first; the Link header names the next page too."""

    items: Annotated[tuple[StockLine, ...], "lots that any job speaks of"]
    next: Annotated[UUID | None, "cursor of the page after this one; null at the end"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Orders:
    """What has to be ordered for some jobs."""

    jobs: Annotated[tuple[str, ...], "numbers of the jobs"]
    items: Annotated[tuple[ToOrder, ...], "each material that they take"]


@dataclass(frozen=True, slots=True, kw_only=True)
class For:
    """The jobs that material is ordered for: of the days that crews are there, or of these numbers."""

    since: date | None = None
    until: date | None = None
    numbers: Sequence[str] = ()


@reads
def read(
    connection: Connection, context: Context, limit: int, after: UUID | None = None, lot: str | None = None
) -> Stock:
    """A page of the firm's stock, from what all of its jobs say; of one lot, if one is named."""
    rows = stock.page(connection, firm_id=context.firm_id, lot=lot, limit=limit + 1, before=after)
    return Stock(
        items=tuple(map(lots.line, rows[:limit])), next=rows[limit - 1]["id"] if len(rows) > limit else None
    )


@reads
def orders(connection: Connection, context: Context, asked: For) -> Orders:
    """The order list of some jobs that are open: planned, less what came and what is there."""
    return _ordered(connection, context, asked)[0]


def _ordered(connection: Connection, context: Context, asked: For) -> tuple[Orders, set[str]]:
    """The order list, with the codes of the practice profiles that its jobs are worked by."""
    wanted = [row for row in _jobs(connection, context, asked) if row["state"] == "open"]
    plans = stock.plans(connection, [row["quote_id"] for row in wanted])
    job_ids = [row["id"] for row in wanted]
    said = lots.ledgers(stock.said(connection, job_ids))
    more = agreed.of_jobs(connection, job_ids)
    needed = [
        _wanted(row, plans[row["quote_id"]], more.get(row["id"]), said.get(row["id"])) for row in wanted
    ]
    found = Orders(
        jobs=tuple(each.job for each in needed),
        items=to_order(wanted=needed, there=lots.there(connection, context.firm_id)),
    )
    return found, {plan["body"]["practice"] for plan in plans.values()}


def _jobs(connection: Connection, context: Context, asked: For) -> list[Job]:
    if not asked.numbers:
        if asked.since is None or asked.until is None:
            raise InvalidInput(Fault("/from", message("stock.days_or_jobs")))
        if asked.until < asked.since:
            raise InvalidInput(Fault("/to", message("exports.ends_before", since=asked.since)))
        since, until = asked.since, asked.until
        return jobs.page(
            connection, firm_id=context.firm_id, limit=MOST_JOBS, before=None, since=since, until=until
        )
    firm_id = context.firm_id
    found = {each: jobs.by_number(connection, firm_id=firm_id, number=each) for each in asked.numbers}
    unknown = [number for number, row in found.items() if row is None]
    if unknown:
        raise InvalidInput(Fault("/job", message("keeping.no_such_job", number=unknown[0])))
    return [row for row in found.values() if row is not None]


def _wanted(
    job: Job, plan: Mapping[str, Any], agreements: Agreements | None, ledger: Ledger | None
) -> Wanted:
    """What a job takes, with the supplements that are on its plan: agreed, or filled before they are."""
    more = [each.row["summary"]["bags"] for each in agreements.on_the_plan] if agreements else []
    material = plan["body"]["material"]
    return Wanted(
        job=job["number"],
        material=material,
        bags=plan["summary"]["bags"] + sum(more),
        delivered_bags=delivered_bags(material=material, ledger=ledger) if ledger else 0.0,
    )


def order_paper(context: Context, asked: For, language: str) -> Mapping[str, Any]:
    """The order list as a page, made anew each time and kept nowhere."""
    facts = {**_listed(context, asked), "language": language, "made_at": context.now.isoformat()}
    content = rendering.shown(context, lambda: order.pdf(facts))
    return {"kind": "order", "content": content, "sha256": hashlib.sha256(content).hexdigest()}


@reads
def _listed(connection: Connection, context: Context, asked: For) -> Mapping[str, Any]:
    """What the page says, and for which market: that of its jobs, or of the firm's usual practice."""
    found, practices = _ordered(connection, context, asked)
    firm = firms.by_id(connection, context.firm_id)["data"]
    return {
        "firm": firm,
        "market": _market(connection, context, practices or {firm.get("practice")}),
        "orders": {"jobs": found.jobs, "items_": found.items},
    }


def _market(connection: Connection, context: Context, practices: Collection[str | None]) -> Market:
    """The market that all of these practice profiles are of; the European where they are of several."""
    rows = dated.all_in_force(connection, "practices", firm_id=context.firm_id, on=context.now.date())
    markets = {row["data"]["market"] for row in rows if row["code"] in practices}
    return Market.US if markets == {Market.US} else Market.EU
