"""Site entries: a batch is stored whole or not at all, and nothing is ever changed.

An entry's id is made by who records it and is part of what it is: the same entry sent again,
by whatever key or link and in whatever batch, is answered as it was stored.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.engine.ground.vocabulary import EventKind
from service.engine.plan.hold_points import HoldPoint
from service.engine.site.entries import Delivery
from service.engine.site.entry import Entry
from service.engine.site.entry_faults import EntryFault, faults
from service.engine.site.entry_shape import shape_faults
from service.engine.site.ledger import Ledger
from service.engine.survey.practice import Practice
from service.errors import Conflict, Fault, InvalidInput
from service.store import entries, quotes
from service.store.row_types import Job
from service.usecases.base.context import Context, reads, writes
from service.usecases.base.events import EventData, tell_all
from service.usecases.base.json import from_json_again, to_json
from service.usecases.base.seals import of_rows, seal
from service.usecases.work import jobs, lots, ready
from service.usecases.work.corrections import Sent, check_corrections, in_turn
from service.usecases.work.ledger import (
    codes_of,
    hold_points_of,
    labels_of,
    ledger_of,
    planned_of,
    standing,
)
from service.usecases.work.parts import Whole, ever_called
from service.usecases.work.states import restate_after

Row = Mapping[str, Any]
COLUMNS = ("id", "kind", "happened_at", "by")
SAME = ("kind", "happened_at", "offset_min", "by", "data", "corrects")
"""What two entries of one id have to have in common to be the same."""
CORE_LENGTH = "/length_mm"
NEEDED = ("hole", "found", "correction")
"""What was said before that an entry is held against: tags and depths; a correction also against CORES."""
CORES = ("core",)


@writes
def add(
    connection: Connection, context: Context, job_id: UUID, sent: Sequence[Mapping[str, Any]]
) -> Mapping[str, Any]:
    """Store a batch; raises InvalidInput with a pointer for each entry that cannot be.

    Raises Conflict for an id that says something else already, and for a correction of
    what was corrected before.
    """
    at_once = context.settings.entry_limit
    if len(sent) > at_once:
        raise InvalidInput(Fault("/entries", message("entries.batch_too_large", most=at_once)))
    job = jobs.found(connection, context, job_id, lock=True)
    batch = [Sent(index=index, row=_row(context, job, entry)) for index, entry in enumerate(sent)]
    there = entries.of_ids(connection, job_id, {each.row["id"] for each in batch})
    new = list(_unknown(batch, there))
    added = _add(connection, context, job, new) if new else {}
    corrected = entries.corrections(connection, job_id, {each.row["id"] for each in batch})
    stored = {**there, **added}
    return {"entries": [_answer(stored[each.row["id"]], corrected) for each in batch]}


@reads
def listed(connection: Connection, context: Context, job_id: UUID, *, after: int = 0) -> Mapping[str, Any]:
    """A job's ledger in the order of commit, after a position; corrected entries and corrections alike."""
    jobs.found(connection, context, job_id)
    corrected = entries.corrections(connection, job_id)
    return {"entries": [_answer(row, corrected) for row in entries.of_job(connection, job_id, after=after)]}


def _add(
    connection: Connection, context: Context, job: Job, new: Sequence[Sent]
) -> dict[UUID, dict[str, Any]]:
    jobs.must_be_open(job)
    last = entries.last_position(connection, job["id"])
    _check_count(context, new, last)
    new = tuple(in_turn(new))
    check_corrections(connection, job["id"], new)
    _check_sense(connection, job, new)
    rows = [{**each.row, "position": position} for position, each in enumerate(new, start=last + 1)]
    tallied = _tallied(rows)
    new_parts = tallied.keys() - _done(connection, job, tallied) if tallied else frozenset()
    entries.add_all(connection, rows)
    seal(connection, job["quote_id"], of_rows("entry", rows))
    lots.keep_up(connection, job, rows)
    state = restate_after(connection, job, rows).state
    ready.let_look(connection, context, job["id"])
    if new_parts:
        told = [entry_id for label, entry_id in tallied.items() if label in new_parts]
        _tell_done(connection, context, {**job, "state": state}, told, len(_done(connection, job)))
    return {row["id"]: row for row in rows}


def _done(connection: Connection, job: Job, labels: Collection[str] | None = None) -> set[str]:
    """Which of these parts of a job, or of all of them, a tally says are done."""
    return entries.parts_tallied(connection, [job["id"]], labels).get(job["id"], set())


def _tallied(rows: Sequence[Row]) -> dict[str, UUID]:
    """The parts that these entries say are done, each with the first that says so, and stands."""
    found: dict[str, UUID] = {}
    corrected = {row["corrects"] for row in rows}
    for row in (row for row in rows if row["id"] not in corrected):
        said = row["data"] if row["kind"] == "tally" else row["data"].get("replacement") or {}
        if said.get("kind", row["kind"]) == "tally":
            found.setdefault(said["cavity"], row["id"])
    return found


def _tell_done(
    connection: Connection, context: Context, job: Row, entry_ids: Sequence[UUID], done: int
) -> None:
    """Tell that these entries say that parts are done, the last of which makes `done` of them."""
    whose = {"state": job["state"], "quote_id": job["quote_id"], "job_id": job["id"]}
    told = [
        (job["id"], EventData(**whose, entry_id=entry_id, parts_done=count))
        for count, entry_id in enumerate(entry_ids, start=done - len(entry_ids) + 1)
    ]
    tell_all(connection, context, EventKind.JOB_PART_DONE, told)


def _check_count(context: Context, new: Sequence[Sent], there: int) -> None:
    most = context.settings.job_entry_limit
    if there + len(new) > most:
        said = message("entries.ledger_full", most=most, there=there)
        raise InvalidInput(Fault("/entries", said))


def _row(context: Context, job: Job, entry: Mapping[str, Any]) -> dict[str, Any]:
    assert context.caller is not None
    happened_at = entry["happened_at"]
    return {
        "id": entry["id"],
        "firm_id": job["firm_id"],
        "job_id": job["id"],
        "kind": entry["kind"],
        "happened_at": happened_at,
        "offset_min": int(happened_at.utcoffset().total_seconds() // 60),
        "by": entry["by"],
        "received_at": context.now,
        "key_id": context.caller.key_id,
        "data": to_json({name: value for name, value in entry.items() if name not in COLUMNS}),
        "corrects": entry["entry"] if entry["kind"] == "correction" else None,
    }


def _unknown(batch: Sequence[Sent], there: Mapping[UUID, Row]) -> Iterator[Sent]:
    """Entries that are not stored yet, each once; raises Conflict where an id says something else."""
    known: dict[UUID, Row] = dict(there)
    for each in batch:
        stored = known.setdefault(each.row["id"], each.row)
        if any(stored[name] != each.row[name] for name in SAME):
            raise Conflict(message("entries.entry_says_something_else", entry=str(each.row["id"])))
        if stored is each.row:
            yield each


def _check_sense(connection: Connection, job: Job, new: Sequence[Sent]) -> None:
    """Every entry must be possible, and fit the job: its parts and bays, its tags, its hold points.

    Of what was said before only that is read which an entry can be held against.
    """
    places = {str(each.row["id"]): each.pointer for each in new}
    ours = ledger_of(standing(each.row for each in new)).entries
    _refuse(
        Fault(places[each.id] + fault.pointer, fault.detail)
        for each in ours
        for fault in (*shape_faults(each), *_from_itself(each, job))
    )
    labels = {label for each in ours for label in labels_of(each)} | _corrected_parts(connection, job, new)
    # What was ever a part can be named: it may have been filled before its supplement was refused.
    known = ever_called(connection, job["quote_id"], labels)
    basis = quotes.agreed_value(connection, job["quote_id"], "basis")
    found = faults(
        ledger=_ledger(connection, job, new, labels),
        planned=tuple(map(planned_of, known.parts)),
        hold_points=_hold_points(connection, job, known, ours),
        practice=from_json_again(Practice, basis["practice"]),
    )
    _refuse(_of_batch(found, places, new))


def _from_itself(entry: Entry, job: Job) -> Iterator[Fault]:
    """What this job left over was here before: another job's comes besides."""
    if isinstance(entry, Delivery) and entry.from_job == job["number"]:
        yield Fault("/from_job", message("entries.from_itself"))


def _ledger(connection: Connection, job: Job, new: Sequence[Sent], labels: Collection[str]) -> Ledger:
    """The batch, and what was said before of these parts that it can be held against."""
    corrects = any(each.row["corrects"] for each in new)
    before = entries.of_parts(connection, job["id"], NEEDED + CORES if corrects else NEEDED, labels)
    gone = entries.corrections(connection, job["id"], {row["id"] for row in before})
    return ledger_of(standing([*before, *(each.row for each in new)], gone))


def _hold_points(
    connection: Connection, job: Job, known: Whole, ours: Iterable[Entry]
) -> tuple[HoldPoint, ...]:
    """The hold points that these entries answer."""
    codes = {code for each in ours for code in codes_of(each)}
    if not codes:
        return ()
    return hold_points_of(quotes.agreed_value(connection, job["quote_id"], "summary"), known, codes)


def _refuse(found: Iterable[Fault]) -> None:
    if wrong := list(found):
        raise InvalidInput(*wrong)


def _corrected_parts(connection: Connection, job: Job, new: Sequence[Sent]) -> set[str]:
    named = {each.row["corrects"] for each in new if each.row["corrects"]}
    corrected = entries.of_ids(connection, job["id"], named).values() if named else ()
    held = (row["data"] for row in corrected if row["kind"] in NEEDED + CORES)
    stated = (data.get("replacement") or data for data in held)
    return {each["cavity"] for each in stated if each.get("cavity")}


def _of_batch(found: Sequence[EntryFault], places: Mapping[str, str], new: Sequence[Sent]) -> Iterator[Fault]:
    """Faults of the batch's own entries, and what its corrections take away from others."""
    correction = next((each.index for each in new if each.row["corrects"]), None)
    for fault in found:
        if fault.entry in places:
            yield Fault(places[fault.entry] + fault.pointer, fault.detail)
        elif fault.pointer == CORE_LENGTH and correction is not None:
            yield Fault(f"/entries/{correction}", message("entries.core_needs_depth", core=fault.entry))


def _answer(row: Row, corrected: Mapping[UUID, UUID]) -> dict[str, Any]:
    names = ("id", "position", "kind", "happened_at", "by", "received_at", "data")
    return {
        **{name: row[name] for name in names},
        "clock_doubtful": row["happened_at"] > row["received_at"],
        "corrected_by": corrected.get(row["id"]),
    }
