"""A month's end: what was quoted and begun, what was planned against what was done, and what it teaches."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Annotated, Any

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Element, Method
from service.engine.site.entries import Delivery, Hours
from service.engine.site.learned import Done, Learned, learned
from service.errors import Fault, InvalidInput
from service.store import summaries
from service.store.row_types import Job
from service.usecases.base.context import Context, loads
from service.usecases.base.json import to_json
from service.usecases.work import jobs
from service.usecases.work.assessments import Assessed, Evidence, assessed, evidence_of
from service.usecases.work.quote_states import state_on

MOST_JOBS = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteSum:
    """Quotes in one state and currency."""

    state: Annotated[str, "draft, offered, accepted, withdrawn, superseded or lapsed"]
    currency: Annotated[str, "their currency (ISO 4217)"]
    quotes: Annotated[int, "how many"]
    total: Annotated[Decimal, "what they come to together, with tax"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedAgainstDone:
    """Something planned against what was done, of the jobs that say something of it."""

    what: Annotated[str, "kilograms, bags, person_hours or holes"]
    jobs: Annotated[int, "jobs that say something of it"]
    planned: Annotated[float, "what was planned for these jobs, in the unit that it is called by"]
    real: Annotated[float, "what they say was done, in the same unit"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConcessionCount:
    """A condition that was conceded."""

    condition: Annotated[str, "code of the condition"]
    concessions: Annotated[int, "how often"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LotSum:
    """A lot of material that came."""

    material: Annotated[str, "code of the material"]
    lot: Annotated[str | None, "the lot; null where none was named"]
    bags: Annotated[float, "bags of it that came"]
    jobs: Annotated[int, "jobs that it came to"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """What began on some days, as it stands now."""

    since: Annotated[date, "the first day, in UTC"]
    until: Annotated[date, "the last day, in UTC"]
    quotes: Annotated[tuple[QuoteSum, ...], "quotes that were drafted, by state and currency"]
    jobs: Annotated[int, "jobs that began"]
    jobs_open: Annotated[int, "of them open, the ready ones included"]
    jobs_ready: Annotated[int, "of the open ones those that nothing stands in the way of a certificate of"]
    jobs_certified: Annotated[int, "of them certified"]
    jobs_closed: Annotated[int, "of them closed"]
    compared: Annotated[tuple[PlannedAgainstDone, ...], "planned against done"]
    concessions: Annotated[tuple[ConcessionCount, ...], "what was conceded"]
    lots: Annotated[tuple[LotSum, ...], "lots that came"]
    learned: Annotated[tuple[Learned, ...], "what parts took of what was planned; from ten certified jobs on"]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Worked:
    """A job with what follows from its ledger: the totals that were planned, those of supplements too."""

    job: Job
    found: Assessed
    lines: Mapping[str, Mapping[str, Any]]
    planned: Mapping[str, Any]


def read(context: Context, since: date, until: date) -> Mapping[str, Any]:
    """The summary as it is answered."""
    answer: Mapping[str, Any] = to_json(summary(context, since, until))
    return answer


def rows(found: Summary) -> Iterator[tuple[str, str, Any]]:
    """One figure a row: what it is of, what it is called, and its value."""
    for name in ("jobs", "jobs_open", "jobs_ready", "jobs_certified", "jobs_closed"):
        yield "jobs", name, getattr(found, name)
    for quoted in found.quotes:
        yield f"quotes {quoted.state} {quoted.currency}", "quotes", quoted.quotes
        yield f"quotes {quoted.state} {quoted.currency}", "total", quoted.total
    for each in found.compared:
        yield from ((each.what, name, getattr(each, name)) for name in ("jobs", "planned", "real"))
    for conceded in found.concessions:
        yield f"concession {conceded.condition}", "concessions", conceded.concessions
    for lot in found.lots:
        yield f"lot {lot.material} {lot.lot or ''}".rstrip(), "bags", lot.bags
    for of in found.learned:
        names = ("jobs", "parts", "median", "lower_quartile", "upper_quartile")
        yield from ((f"{of.element} {of.method}", name, getattr(of, name)) for name in names)


def summary(context: Context, since: date, until: date) -> Summary:
    """What was quoted and begun on these days; each job is assessed by itself, outside of any transaction."""
    if until < since:
        raise InvalidInput(Fault("/to", message("exports.ends_before", since=since)))
    quoted, begun = _begun(context, since, until)
    worked = [_worked(context, job) for job in begun]
    states = Counter(job["state"] for job in begun)
    return Summary(
        since=since,
        until=until,
        quotes=quoted,
        jobs=len(begun),
        jobs_open=states["open"],
        jobs_ready=sum(each.job["state"] == "open" and not each.found.unmet for each in worked),
        jobs_certified=states["certified"],
        jobs_closed=states["closed"],
        compared=tuple(_compared(worked)),
        concessions=_conceded(worked),
        lots=_lots(worked),
        learned=learned(parts=_done(worked)),
    )


@loads
def _begun(
    connection: Connection, context: Context, since: date, until: date
) -> tuple[tuple[QuoteSum, ...], list[Job]]:
    days = (_midnight(since), _midnight(until + timedelta(days=1)))
    found = summaries.jobs_between(connection, firm_id=context.firm_id, days=days, most=MOST_JOBS + 1)
    if len(found) > MOST_JOBS:
        raise InvalidInput(Fault("/to", message("exports.too_many", most=MOST_JOBS)))
    rows = summaries.quotes_between(connection, firm_id=context.firm_id, days=days)
    return _quoted(rows, context.now.date()), found


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), UTC)


def _quoted(rows: Iterable[Any], today: date) -> tuple[QuoteSum, ...]:
    totals: dict[tuple[str, str], list[Decimal]] = {}
    for row in rows:
        totals.setdefault((state_on(row, today), row["currency"]), []).append(row["total"])
    return tuple(
        QuoteSum(state=state, currency=currency, quotes=len(each), total=sum(each, Decimal(0)))
        for (state, currency), each in sorted(totals.items())
    )


@loads
def _evidence(
    connection: Connection, context: Context, job: Job
) -> tuple[Evidence, dict[str, Mapping[str, Any]], Mapping[str, Any]]:
    rows, agreements = jobs.lines_of(connection, job)
    lines = {row["line"]["label"]: row["line"] for row in rows}
    evidence = evidence_of(connection, jobs.found(connection, context, job["id"]))
    planned = agreements.summary(evidence.plan.quote["summary"], frozenset(lines))
    return evidence, lines, planned


def _worked(context: Context, job: Job) -> _Worked:
    evidence, lines, planned = _evidence(context, job)
    return _Worked(job=job, found=assessed(evidence), lines=lines, planned=planned)


def _compared(worked: list[_Worked]) -> Iterator[PlannedAgainstDone]:
    for what, planned, real in (
        ("kilograms", lambda each: each.planned["mass_kg"], _kilograms),
        ("bags", lambda each: each.planned["bags"], _bags),
        ("person_hours", _planned_hours, _hours),
        ("holes", lambda each: each.planned["holes"], _holes),
    ):
        yield _of(worked, what, planned, real)


def _of(
    worked: list[_Worked],
    what: str,
    planned: Callable[[_Worked], float],
    real: Callable[[_Worked], float | None],
) -> PlannedAgainstDone:
    said = [(planned(each), value) for each in worked if (value := real(each)) is not None]
    return PlannedAgainstDone(
        what=what, jobs=len(said), planned=sum(row[0] for row in said), real=sum(row[1] for row in said)
    )


def _kilograms(each: _Worked) -> float | None:
    return each.found.assessment.whereabouts.emptied_kg if each.found.ledger.fills else None


def _bags(each: _Worked) -> float | None:
    came = each.found.ledger.of(Delivery)
    stock = each.found.assessment.stock
    return sum(lot.delivered_bags - lot.left_over_bags - lot.returned_bags for lot in stock) if came else None


def _planned_hours(each: _Worked) -> float:
    people = each.found.evidence.plan.practice.rates.crew
    hours: float = each.planned["crew_hours"]
    return hours * people


def _hours(each: _Worked) -> float | None:
    said = each.found.ledger.of(Hours)
    return sum(entry.people * entry.hours for entry in said) if said else None


def _holes(each: _Worked) -> float | None:
    made = sum(part.made for part in each.found.assessment.holes)
    return made or None


def _conceded(worked: list[_Worked]) -> tuple[ConcessionCount, ...]:
    counted = Counter(str(row.condition) for each in worked for row in each.found.evidence.concessions)
    return tuple(ConcessionCount(condition=code, concessions=many) for code, many in sorted(counted.items()))


def _lots(worked: list[_Worked]) -> tuple[LotSum, ...]:
    came: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for each in worked:
        for entry in each.found.ledger.of(Delivery):
            if entry.bags:
                material = entry.material or each.found.evidence.plan.material.code
                of = came.setdefault((material, entry.lot or ""), [])
                of.append((each.job["number"], float(entry.bags)))
    return tuple(
        LotSum(
            material=material,
            lot=lot or None,
            bags=sum(bags for _, bags in rows),
            jobs=len({number for number, _ in rows}),
        )
        for (material, lot), rows in sorted(came.items())
    )


def _done(worked: list[_Worked]) -> Iterator[Done]:
    """The parts of certified jobs of which something is known."""
    for each in worked:
        for part in each.found.assessment.cavities if each.job["state"] == "certified" else ():
            line = each.lines.get(part.label)
            if line and line["mass_kg"] and part.mass_kg is not None:
                yield Done(
                    job=each.job["number"],
                    element=Element(line["element"]),
                    method=Method(line["method"]),
                    planned_kg=line["mass_kg"],
                    real_kg=part.mass_kg,
                )
