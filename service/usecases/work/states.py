"""What a job's certificates make of its state: certified while each part is in one that still says all.

Parts of supplements are among them once these are accepted or taken over. A certificate is in
force until it is superseded or withdrawn. An entry is newer than it when it came after those that
it rests on and is of one of its parts: it names the part, or corrects an entry that does, or
corrects one of the whole job that the certificate rests on, or stops the work on all of them.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.store import certificates, entries, jobs
from service.usecases.work.parts import agreed_labels
from service.usecases.work.said import parts_named, stops_work

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A job's state; `moved_on_at` is when the first entry came that is newer than a part's certificate."""

    state: str
    moved_on_at: datetime | None


def state_of(connection: Connection, job: Row) -> State:
    """The state that follows from what was issued and recorded; a closed job stays closed."""
    standing = certificates.in_force(connection, job["id"])
    moved_on_at = min((when for each in standing if (when := added_to_at(connection, each))), default=None)
    if job["state"] == "closed":
        return State(state="closed", moved_on_at=moved_on_at)
    if not standing or moved_on_at:
        return State(state="open", moved_on_at=moved_on_at)
    whole = agreed_labels(connection, job["quote_id"]) <= frozenset().union(*map(certified_parts, standing))
    return State(state="certified" if whole else "open", moved_on_at=None)


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
    earlier = _in_ledger(connection, job["id"], added)
    moved_on = [when for each in standing if (when := first_newer(each, added, earlier))]
    if not moved_on:
        return before
    jobs.set_state(connection, job["id"], "open", moved_on_at=min(moved_on))
    return State(state="open", moved_on_at=min(moved_on))


def added_to_at(connection: Connection, certificate: Row) -> datetime | None:
    """When the first entry came that is newer than a certificate; None before one does."""
    job_id, parts = certificate["job_id"], certified_parts(certificate)
    may_be = entries.newer_of_parts(connection, job_id, certificate["ledger_position"], parts)
    return first_newer(certificate, may_be, _in_ledger(connection, job_id))


def _in_ledger(connection: Connection, job_id: UUID, rows: Sequence[Row] = ()) -> Callable[[UUID], Row]:
    """What finds an entry of a job by its id, among these `rows` or where it is stored."""
    at_hand = {row["id"]: row for row in rows}
    return lambda entry_id: at_hand.get(entry_id) or entries.of_ids(connection, job_id, [entry_id])[entry_id]


def certified_parts(certificate: Row) -> frozenset[str]:
    """The labels of the parts that a certificate is for."""
    return frozenset(part["cavity"] for part in certificate["outcome"]["parts"])


def first_newer(certificate: Row, rows: Iterable[Row], by_id: Callable[[UUID], Row]) -> datetime | None:
    """When the first of these entries came that is newer than a certificate, if one is; they are in order.

    `by_id` finds those that they correct.
    """
    rests_on: int = certificate["ledger_position"]
    parts = certified_parts(certificate)
    newer = (row for row in rows if row["position"] > rests_on)
    return next((row["received_at"] for row in newer if _is_of(row, by_id, parts, rests_on)), None)


def _is_of(row: Row, by_id: Callable[[UUID], Row], parts: frozenset[str], rests_on: int) -> bool:
    chain = list(_with_corrected(row, by_id))
    named = {label for each in chain for label in parts_named(each["data"])}
    of_the_job = len(chain) > 1 and chain[-1]["position"] <= rests_on and not named
    stopped = not named and stops_work(row["data"])
    return of_the_job or stopped or bool(named & parts)


def _with_corrected(row: Row, by_id: Callable[[UUID], Row]) -> Iterator[Row]:
    """An entry, what it corrects, what that corrects, and so on."""
    yield row
    while row["corrects"]:
        row = by_id(row["corrects"])
        yield row
