"""Corrections of a batch: each of an entry that there is, of none that was corrected before, and after it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.messages import message
from service.errors import Conflict, Fault, InvalidInput
from service.store import entries


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """An entry of a batch as it would be stored, and where it stands in the body."""

    index: int
    row: Mapping[str, Any]

    @property
    def pointer(self) -> str:
        """Where what it states stands."""
        inside = "/replacement" if self.row["kind"] == "correction" else ""
        return f"/entries/{self.index}{inside}"


def in_turn(new: Sequence[Sent]) -> Iterator[Sent]:
    """In the order in which they were sent, but none before the one that it corrects.

    Raises InvalidInput for corrections that correct one another.
    """
    waiting, ids = list(new), {each.row["id"] for each in new}
    while waiting:
        turn = next((each for each in waiting if each.row["corrects"] not in ids), None)
        if turn is None:
            raise InvalidInput(*(_unknown(each) for each in waiting))
        waiting.remove(turn)
        ids.discard(turn.row["id"])
        yield turn


def check_corrections(connection: Connection, job_id: UUID, new: Sequence[Sent]) -> None:
    """Raises InvalidInput for what there is not, Conflict for what was corrected before."""
    corrections = [each for each in new if each.row["corrects"]]
    if not corrections:
        return
    there = set(entries.of_ids(connection, job_id, {each.row["corrects"] for each in corrections}))
    there |= {each.row["id"] for each in new}
    stands = entries.corrections(connection, job_id, {each.row["corrects"] for each in corrections})
    unknown = []
    for each in corrections:
        named = each.row["corrects"]
        if named not in there or named == each.row["id"]:
            unknown.append(_unknown(each))
        elif named in stands:
            last = _last(named, {**entries.corrections(connection, job_id), **stands})
            raise Conflict(message("entries.corrected_before", correction=str(last)))
        stands[named] = each.row["id"]
    if unknown:
        raise InvalidInput(*unknown)


def _last(entry: UUID, stands: Mapping[UUID, UUID]) -> UUID:
    """The correction that stands at the end of those of an entry."""
    while entry in stands:
        entry = stands[entry]
    return entry


def _unknown(each: Sent) -> Fault:
    return Fault(f"/entries/{each.index}/entry", message("entries.no_such_entry"))
