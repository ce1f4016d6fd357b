"""Site entries: a batch is stored whole or not at all, and nothing is ever changed."""

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping
from uuid6 import uuid7

from service.engine.site.entry_faults import faults
from service.errors import Fault, InvalidInput
from service.store import entries
from service.usecases.base.context import Context, reads, writes
from service.usecases.base.json import to_json
from service.usecases.base.seals import of_rows, seal
from service.usecases.work import jobs
from service.usecases.work.ledger import hold_points_of, ledger_of, planned_of, standing
from service.usecases.work.parts import parts_of

RECORDED = ("kind", "recorded_at", "recorded_by")


@writes
def add(
    connection: Connection, context: Context, job_id: UUID, sent: Sequence[Mapping[str, Any]]
) -> Mapping[str, Any]:
    """Store a batch; raises InvalidInput, with a pointer for each entry that cannot be."""
    job = jobs.found(connection, context, job_id, lock=True)
    jobs.must_be_open(job)
    last = entries.last_position(connection, job_id)
    _check_count(context, sent, last)
    rows = _rows(context, job, sent, first=last + 1)
    _check_corrections(connection, job_id, rows)
    _check_sense(connection, job, rows)
    entries.add_all(connection, rows)
    seal(connection, job["quote_id"], of_rows("entry", rows))
    return {"entries": [_answer(row, {}) for row in rows]}


@reads
def listed(connection: Connection, context: Context, job_id: UUID) -> Mapping[str, Any]:
    """A job's whole ledger, corrected entries and their corrections alike."""
    jobs.found(connection, context, job_id)
    rows = entries.of_job(connection, job_id)
    corrected = {row["corrects"]: row["id"] for row in rows if row["corrects"]}
    return {"entries": [_answer(row, corrected) for row in rows]}


def _check_count(context: Context, sent: Sequence[Mapping[str, Any]], there: int) -> None:
    at_once, of_job = context.settings.entry_limit, context.settings.job_entry_limit
    if len(sent) > at_once:
        raise InvalidInput(Fault("/entries", f"At most {at_once} entries in one batch."))
    if there + len(sent) > of_job:
        raise InvalidInput(Fault("/entries", f"At most {of_job} entries for one job: it has {there}."))


def _rows(
    context: Context, job: RowMapping, sent: Sequence[Mapping[str, Any]], first: int
) -> list[dict[str, Any]]:
    assert context.caller is not None
    return [
        {
            "id": uuid7(),
            "firm_id": job["firm_id"],
            "job_id": job["id"],
            "position": position,
            "kind": entry["kind"],
            "recorded_at": entry["recorded_at"],
            "recorded_by": entry["recorded_by"],
            "received_at": context.now,
            "key_id": context.caller.key_id,
            "data": to_json({name: value for name, value in entry.items() if name not in RECORDED}),
            "corrects": entry["entry"] if entry["kind"] == "correction" else None,
        }
        for position, entry in enumerate(sent, start=first)
    ]


def _check_corrections(connection: Connection, job_id: UUID, rows: Sequence[Mapping[str, Any]]) -> None:
    named = {row["corrects"] for row in rows if row["corrects"]}
    there = entries.on_job(connection, job_id, named)
    corrected = entries.corrected(connection, named)
    found = []
    for index, row in enumerate(rows):
        if row["corrects"] is None:
            continue
        if row["corrects"] not in there:
            found.append(Fault(f"/entries/{index}/entry", "There is no such entry on this job."))
        elif row["corrects"] in corrected:
            found.append(
                Fault(f"/entries/{index}/entry", "This entry was corrected before: correct its correction.")
            )
        corrected.add(row["corrects"])
    if found:
        raise InvalidInput(*found)


def _check_sense(connection: Connection, job: RowMapping, rows: Sequence[Mapping[str, Any]]) -> None:
    """Every entry must fit the job: its cavities and bays, its tags, its hold points.

    Of what was recorded before only the tags matter, so no more of it is read.
    """
    sent = {str(row["id"]): _place(index, row) for index, row in enumerate(rows)}
    stated = list(standing([*entries.of_job(connection, job["id"], ("penetration", "correction")), *rows]))
    labels = {each["cavity"] for each in stated if each["entry"] in sent and "cavity" in each}
    quote = jobs.quote_of(connection, job)
    found = faults(
        ledger=ledger_of(each for each in stated if each["entry"] in sent or each["kind"] == "penetration"),
        planned=tuple(map(planned_of, parts_of(connection, quote["id"], labels))),
        hold_points=hold_points_of(quote),
    )
    ours = [Fault(sent[each.entry] + each.pointer, each.detail) for each in found if each.entry in sent]
    if ours:
        raise InvalidInput(*ours)


def _place(index: int, row: Mapping[str, Any]) -> str:
    inside = "/replacement" if row["kind"] == "correction" else ""
    return f"/entries/{index}{inside}"


def _answer(row: Mapping[str, Any], corrected: Mapping[UUID, UUID]) -> dict[str, Any]:
    names = ("id", "position", "kind", "recorded_at", "recorded_by", "received_at", "data")
    return {**{name: row[name] for name in names}, "corrected_by": corrected.get(row["id"])}
