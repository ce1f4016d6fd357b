"""Jobs: what is to be filled, as it was offered, and the crew's sheet."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.documents.papers import crew_sheet
from service.engine.ground.figures import rounded
from service.engine.ground.messages import message
from service.errors import Conflict, NotKnown
from service.store import jobs, quotes, supplements
from service.store.row_types import Job, Quote, ShortJob, SupplementStep, some
from service.usecases.base.context import Context, loads, reads, writes
from service.usecases.base.json import but_workings, to_json
from service.usecases.base.seals import of_closure, seal
from service.usecases.work import agreed, before_start, crews, rendering
from service.usecases.work.agreed import Agreements
from service.usecases.work.clients import shown
from service.usecases.work.quote_papers import facts_of, in_full
from service.usecases.work.short import of_job, short


@loads
def read(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job in short: no working is read for it; a price only for who may see it."""
    job = jobs.short_by_id(connection, firm_id=context.firm_id, job_id=job_id)
    if job is None or not crews.may_see(connection, context, job_id):
        raise NotKnown(message("jobs.not_known"))
    takeoff, undeclared = _takeoff(connection, context, job)
    missing = before_start.of_job(connection, context, job_id, {"undeclared": undeclared}, job["phone"])
    return {
        **_head(job),
        **some(job, ("reference", "offered_at", "valid_until", "quote_number")),
        **some(job["body"], ("language", "practice", "material")),
        **shown(job),
        "before_start": missing,
        "takeoff": takeoff,
    }


def _takeoff(connection: Connection, context: Context, job: ShortJob) -> tuple[Any, Any]:
    """The short takeoff of a job as the caller sees it, and what of it is not declared."""
    if job["supplemented"]:
        takeoff = _with_supplements(connection, job)
        return _seen_by(context, takeoff), takeoff["undeclared"]
    seen = job["short"] if _sees_prices(context) else _seen_by(context, to_json(job["short"]))
    return seen, job["undeclared"]


def _with_supplements(connection: Connection, job: Job) -> dict[str, Any]:
    """The short takeoff of a job that has supplements."""
    quote = quotes.totals_by_id(connection, firm_id=job["firm_id"], quote_id=job["quote_id"])
    assert quote is not None
    lines, agreements = lines_of(connection, job)
    labels = frozenset(line["line"]["label"] for line in lines)
    in_short: dict[str, Any] = rounded(short(agreements.summary(quote["summary"], labels), lines))
    return in_short


def lines_of(connection: Connection, job: Job) -> tuple[list[Mapping[str, Any]], Agreements]:
    """The lines of a job's parts, and what was agreed of them."""
    agreements = agreed.of_quote(connection, job["quote_id"])
    added = supplements.lines_of(connection, [job["id"]]) if agreements.supplements else []
    return of_job(quotes.lines_of(connection, job["quote_id"]), added, agreements), agreements


@loads
def working(
    connection: Connection, context: Context, job_id: UUID, label: str | None = None
) -> Mapping[str, Any]:
    """A job with the working of its parts, or of one of them; a price only for who may see it."""
    job = found(connection, context, job_id)
    facts = _facts(connection, job)
    if label is not None:
        facts = {**facts, **_only(facts, label)}
    phone = facts["firm"]["phone"]
    missing = before_start.of_job(connection, context, job_id, facts["takeoff"], phone)
    takeoff = _seen_by(context, facts["takeoff"])
    return but_workings({**facts, "takeoff": takeoff, "before_start": missing, **_head(job)})


@reads
def id_of(connection: Connection, context: Context, number: str) -> UUID:
    """The id of the firm's job with this number; raises NotKnown when there is none."""
    job = jobs.by_number(connection, firm_id=context.firm_id, number=number)
    if job is None:
        raise NotKnown(message("jobs.not_known"))
    return job["id"]


def _only(facts: Mapping[str, Any], label: str) -> dict[str, Any]:
    """The one part of this label, as it was surveyed and as it was worked out."""
    worked = facts["takeoff"]["cavities"]
    places = [place for place, cavity in enumerate(facts["cavities"]) if cavity.label == label]
    if not places:
        raise NotKnown(message("jobs.no_such_part", cavity=label))
    (place,) = places
    return {
        "cavities": [facts["cavities"][place]],
        "takeoff": {**facts["takeoff"], "cavities": [worked[place]]},
    }


def _seen_by(context: Context, takeoff: Mapping[str, Any]) -> dict[str, Any]:
    """A takeoff, with its price for who may see one."""
    sees = _sees_prices(context)
    return {name: value for name, value in takeoff.items() if sees or name != "price"}


def _sees_prices(context: Context) -> bool:
    return context.caller is not None and not context.caller.roles.isdisjoint(("sales", "office"))


@writes
def close(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """Close a job: nothing can be recorded or certified any more."""
    job = found(connection, context, job_id, lock=True)
    must_be_open(job)
    jobs.set_state(connection, job_id, "closed", moved_on_at=job["moved_on_at"])
    seal(connection, job["quote_id"], of_closure(job))
    return _head({**job, "state": "closed"})


def must_be_open(job: Mapping[str, Any]) -> None:
    """Refuse what a closed job does not take any more."""
    if job["state"] == "closed":
        raise Conflict(message("jobs.closed"))


def file(context: Context, job_id: UUID) -> Mapping[str, Any] | rendering.Awaited:
    """The crew's sheet as it is stored, or what it waits for: it is made for the first who asks."""
    quote_id, owner_id = _sheet_of(context, job_id)
    return rendering.asked_for(context, "crew_sheet", owner_id, client_of=quote_id)


@loads
def _sheet_of(connection: Connection, context: Context, job_id: UUID) -> tuple[UUID, UUID]:
    job = found(connection, context, job_id)
    return job["quote_id"], sheet_owner(supplements.steps_of(connection, [job_id]), job_id)


def sheet_owner(steps: Sequence[SupplementStep], job_id: UUID) -> UUID:
    """Whose the sheet is that holds now: the last step's of the job's supplements, else the job's."""
    last = max(steps, key=lambda step: step["id"], default=None)
    return last["id"] if last else job_id


def sheet(context: Context, owner_id: UUID) -> Mapping[str, Any]:
    """The crew's sheet, made and stored; a worker's to call."""
    return rendering.made_once(
        context,
        "crew_sheet",
        owner_id,
        lambda: crew_sheet.pdf(in_full(_sheet_facts(context, owner_id))),
        client_of=_job_of(context, owner_id)["quote_id"],
    )


@loads
def _job_of(connection: Connection, context: Context, owner_id: UUID) -> Job:
    """The job that owns a sheet, by itself or by a step of one of its supplements."""
    return _owning(connection, context, owner_id)


@loads
def _sheet_facts(connection: Connection, context: Context, owner_id: UUID) -> Mapping[str, Any]:
    return but_workings(_facts(connection, _owning(connection, context, owner_id)))


def _owning(connection: Connection, context: Context, owner_id: UUID) -> Job:
    step = supplements.step(connection, firm_id=context.firm_id, step_id=owner_id)
    return found(connection, context, step["job_id"] if step else owner_id)


def found(connection: Connection, context: Context, job_id: UUID, *, lock: bool = False) -> Job:
    """The caller's job; raises NotKnown when there is none, or none that the caller's crew is assigned."""
    job = jobs.by_id(connection, firm_id=context.firm_id, job_id=job_id, lock=lock)
    if job is None or not crews.may_see(connection, context, job_id):
        raise NotKnown(message("jobs.not_known"))
    return job


def quote_of(connection: Connection, job: Job) -> Quote:
    """The quote that a job came from."""
    quote = quotes.by_id(connection, firm_id=job["firm_id"], quote_id=job["quote_id"])
    assert quote is not None
    return quote


def _facts(connection: Connection, job: Job) -> dict[str, Any]:
    facts = facts_of(connection, quote_of(connection, job))
    return {
        **facts,
        "quote_id": job["quote_id"],
        "job_number": job["number"],
        "quote_number": facts["number"],
        "created_at": job["created_at"],
        "core_diameter_mm": facts["practice"]["sampling"]["core_diameter_mm"],
    }


def _head(job: Mapping[str, Any]) -> dict[str, Any]:
    names = ("id", "number", "state", "quote_id", "created_at", "moved_on_at")
    return {**{name: job[name] for name in names}, "ledger_moved_on": job["moved_on_at"] is not None}
