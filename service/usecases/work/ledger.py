"""From stored rows to what the engine assesses: the ledger as it stands, and the plan it is held against."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from functools import cache
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.ground.rfc3339 import moment_text
from service.engine.plan.hold_points import HoldPoint
from service.engine.site.entries import KINDS, Check, Checks
from service.engine.site.entry import Entry
from service.engine.site.ledger import Ledger
from service.engine.site.planned import Planned
from service.engine.survey.practice import Material, Practice
from service.store.row_types import Job, Quote
from service.usecases.base.json import from_json, from_json_again
from service.usecases.work.jobs import quote_of
from service.usecases.work.parts import Part, Whole, whole

UNPLACED = 10**9
"""The position of what is not stored yet: after everything that is."""
PLANNED = ("geometry", "compartments", "density", "open_blow")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a job was to be: the cavities and hold points of quote and supplements, material, practice."""

    quote: Quote
    cavities: tuple[Planned, ...]
    hold_points: tuple[HoldPoint, ...]
    material: Material
    practice: Practice


def plan_of(connection: Connection, job: Job) -> Plan:
    """The plan of a job, from the frozen quote and what was agreed on the way."""
    quote = quote_of(connection, job)
    found = whole(connection, quote["id"])
    return Plan(
        quote=quote,
        cavities=tuple(map(planned_of, found.parts)),
        hold_points=hold_points_of(quote["summary"], found),
        material=from_json_again(Material, quote["basis"]["material"]),
        practice=from_json_again(Practice, quote["basis"]["practice"]),
    )


def planned_of(part: Part) -> Planned:
    """What was planned for a part."""
    worked_out = part["planned"].plain
    planned = {name: worked_out[name] for name in PLANNED}
    plan = {name: worked_out["fill_plan"][name] for name in ("holes", "hole_list")}
    standing = {name: part[name] for name in ("supplement", "agreed")}
    return from_json(Planned, {"cavity": part["surveyed"], **plan, **planned, **standing})


def hold_points_of(
    quoted: Mapping[str, Any], found: Whole, codes: Collection[str] | None = None
) -> tuple[HoldPoint, ...]:
    """The hold points that were offered, and those of the supplements: all, or those with these codes."""
    points = found.summary(quoted)["hold_points"]
    asked = [each for each in points if codes is None or each["code"] in codes]
    return from_json(tuple[HoldPoint, ...], asked)


def codes_of(entry: Entry) -> tuple[str, ...]:
    """Codes of the hold points that an entry answers."""
    if isinstance(entry, Checks):
        return tuple(each.code for each in entry.points)
    return (entry.code,) if isinstance(entry, Check) else ()


def ledger_of(stated: Iterable[Entry]) -> Ledger:
    """A ledger of stated entries, in the order of what happened."""
    return Ledger(entries=tuple(stated)).in_order()


def labels_of(entry: Entry) -> tuple[str, ...]:
    """Labels of the parts that an entry names."""
    one = getattr(entry, "cavity", None)
    several: tuple[str, ...] = getattr(entry, "cavities", ())
    return (one, *several) if one else several


def standing(rows: Iterable[Mapping[str, Any]], gone: Collection[UUID] = ()) -> Iterator[Entry]:
    """The entries that stand, each under the id of the row that states it.

    What was corrected is replaced by what took its place, or by nothing; `gone` are the ids of
    what corrections say that are not among these rows.
    """
    told = {row["id"]: row for row in rows}
    corrected = {row["corrects"] for row in told.values() if row["corrects"]}.union(gone)
    for row in told.values():
        stated = _stated(row) if row["id"] not in corrected else None
        if stated is not None:
            yield _entry(stated, row, _first(row, told))


def _first(row: Mapping[str, Any], told: Mapping[UUID, Mapping[str, Any]]) -> Mapping[str, Any]:
    """What a correction corrects in the end: it stands in its place and goes by its clock."""
    while row["corrects"] in told:
        row = told[row["corrects"]]
    return row


def _stated(row: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """What a row says: of a correction what takes the place of the wrong entry."""
    if row["kind"] == "correction":
        replacement: Mapping[str, Any] | None = row["data"].get("replacement")
        return replacement
    return {
        **row["data"],
        "kind": row["kind"],
        "happened_at": row["happened_at"],
        "by": row["by"],
    }


def _entry(stated: Mapping[str, Any], row: Mapping[str, Any], first: Mapping[str, Any]) -> Entry:
    happened_at = stated["happened_at"]
    if isinstance(happened_at, str):
        happened_at = datetime.fromisoformat(happened_at)
    servers = {
        "id": str(row["id"]),
        "happened_at": moment_text(happened_at.astimezone(_zone(first["offset_min"]))),
        "received_at": moment_text(row["received_at"]),
        "position": first.get("position", UNPLACED),
    }
    said = {name: value for name, value in stated.items() if name not in ("kind", "id") and value is not None}
    return from_json(KINDS[stated["kind"]], {**said, **_in_full(said), **servers})


@cache
def _zone(offset_min: int) -> timezone:
    return timezone(timedelta(minutes=offset_min))


def _in_full(said: Mapping[str, Any]) -> dict[str, Any]:
    """The words that say all of a part's holes, as the engine reads them."""
    words = {"holes": "as_planned", "patched": "all"}
    return {name: {} for name, word in words.items() if said.get(name) == word}
