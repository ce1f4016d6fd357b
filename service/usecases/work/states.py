"""What a job's certificates make of its state: certified while each part is in one that still says all.

Parts of supplements are among them once these are accepted or taken over. A certificate is in
force until it is superseded or withdrawn. An entry is newer than it when it came after those that
it rests on and is of one of its parts: it names the part, or corrects an entry that does, or
corrects one of the whole job that the certificate rests on.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.store import certificates, entries, jobs
from service.usecases.work.parts import agreed_labels
from service.usecases.work.said import parts_named

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A job's state; `moved_on_at` is when the first entry came that is newer than a part's certificate."""

    state: str
    moved_on_at: datetime | None


def state_of(connection: Connection, job: Row) -> State:
    """The state that follows from what was issued and recorded; a closed job stays closed."""
    if job["state"] == "closed":
        return State(state="closed", moved_on_at=job["moved_on_at"])
    standing = certificates.in_force(connection, job["id"])
    if not standing:
        return State(state="open", moved_on_at=None)
    ledger = newer_than(connection, job["id"], min(each["ledger_position"] for each in standing))
    moved_on = _moved_on(standing, ledger)
    whole = agreed_labels(connection, job["quote_id"]) <= frozenset().union(*map(certified_parts, standing))
    return State(
        state="certified" if whole and not moved_on else "open", moved_on_at=min(moved_on, default=None)
    )


def restate(connection: Connection, job: Row) -> State:
    """Let a job, which is locked, have the state that follows from what was just written of it."""
    found = state_of(connection, job)
    if (found.state, found.moved_on_at) != (job["state"], job["moved_on_at"]):
        jobs.set_state(connection, job["id"], found.state, moved_on_at=found.moved_on_at)
    return found


def restate_after(connection: Connection, job: Row, added: Sequence[Row]) -> State:
    """The same where entries alone were written, and no other is read than those that they correct.

    A certificate that was moved on from before stays so, and one that was not is by the first of these.
    """
    before = State(state=job["state"], moved_on_at=job["moved_on_at"])
    standing = certificates.in_force(connection, job["id"]) if before.moved_on_at is None else []
    moved_on = _moved_on(standing, _with_all_corrected(connection, job["id"], added)) if standing else []
    if not moved_on:
        return before
    jobs.set_state(connection, job["id"], "open", moved_on_at=min(moved_on))
    return State(state="open", moved_on_at=min(moved_on))


def newer_than(connection: Connection, job_id: UUID, position: int) -> list[Row]:
    """The entries of a job that came after a position, with those that they correct, in order."""
    return _with_all_corrected(connection, job_id, entries.of_job(connection, job_id, after=position))


def _with_all_corrected(connection: Connection, job_id: UUID, rows: Sequence[Row]) -> list[Row]:
    found: dict[UUID, Row] = {row["id"]: row for row in rows}
    while missing := {row["corrects"] for row in found.values() if row["corrects"]} - found.keys():
        found.update(entries.of_ids(connection, job_id, missing))
    return sorted(found.values(), key=lambda row: row["position"])


def _moved_on(standing: Sequence[Row], ledger: Sequence[Row]) -> list[datetime]:
    """When the first entry came that is newer, of each certificate that has one."""
    return [when for each in standing if (when := added_to_at(each, ledger))]


def certified_parts(certificate: Row) -> frozenset[str]:
    """The labels of the parts that a certificate is for."""
    return frozenset(part["cavity"] for part in certificate["outcome"]["parts"])


def added_to_at(certificate: Row, ledger: Sequence[Row]) -> datetime | None:
    """When the first entry came that is newer than a certificate, None before one does.

    `ledger` has the job's entries that may be, and those that they correct, in order.
    """
    by_id = {row["id"]: row for row in ledger}
    rests_on: int = certificate["ledger_position"]
    parts = certified_parts(certificate)
    newer = (row for row in ledger if row["position"] > rests_on)
    return next((row["received_at"] for row in newer if _is_of(row, by_id, parts, rests_on)), None)


def _is_of(row: Row, by_id: Mapping[UUID, Row], parts: frozenset[str], rests_on: int) -> bool:
    chain = list(_with_corrected(row, by_id))
    named = {label for each in chain for label in parts_named(each["data"])}
    of_the_job = len(chain) > 1 and chain[-1]["position"] <= rests_on and not named
    return of_the_job or bool(named & parts)


def _with_corrected(row: Row, by_id: Mapping[UUID, Row]) -> Iterator[Row]:
    """An entry, what it corrects, what that corrects, and so on."""
    yield row
    while row["corrects"]:
        row = by_id[row["corrects"]]
        yield row
