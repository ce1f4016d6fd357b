"""From stored rows to what the engine assesses: the ledger as it stands, and the plan it is held against."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping

from service.engine.plan.hold_points import HoldPoint
from service.engine.site import ledger
from service.engine.site.assessment import Planned
from service.engine.survey.practice import Material, Practice
from service.usecases.base.json import from_json, to_json
from service.usecases.work.jobs import quote_of
from service.usecases.work.parts import parts_of

KINDS: Mapping[str, tuple[str, type[ledger.Entry]]] = {
    "fill": ("fills", ledger.FillRecord),
    "bag_check": ("bag_checks", ledger.BagCheck),
    "sample": ("samples", ledger.Sample),
    "penetration": ("penetrations", ledger.Penetration),
    "patch": ("patches", ledger.Patch),
    "hold_point": ("answers", ledger.HoldPointAnswer),
    "stock": ("stocks", ledger.Stock),
    "depth_check": ("depth_checks", ledger.DepthCheck),
    "air_test": ("air_tests", ledger.AirTest),
}

PLANNED = ("geometry", "compartments", "density", "open_blow")


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a job was to be: the offered cavities, hold points, material and practice."""

    quote: RowMapping
    cavities: tuple[Planned, ...]
    hold_points: tuple[HoldPoint, ...]
    material: Material
    practice: Practice


def plan_of(connection: Connection, job: RowMapping) -> Plan:
    """The plan of a job, from the frozen quote."""
    quote = quote_of(connection, job)
    rows = parts_of(connection, quote["id"])
    return Plan(
        quote=quote,
        cavities=tuple(map(planned_of, rows)),
        hold_points=hold_points_of(quote),
        material=from_json(Material, quote["basis"]["material"]),
        practice=from_json(Practice, quote["basis"]["practice"]),
    )


def planned_of(row: RowMapping) -> Planned:
    """What was planned for a cavity, from its row."""
    planned = {name: row["planned"][name] for name in PLANNED}
    holes = row["planned"]["fill_plan"]["holes"]
    return from_json(Planned, {"cavity": row["surveyed"], "holes": holes, **planned})


def hold_points_of(quote: RowMapping) -> tuple[HoldPoint, ...]:
    """The hold points that were offered."""
    return from_json(tuple[HoldPoint, ...], quote["summary"]["hold_points"])


def ledger_of(stated: Iterable[Mapping[str, Any]]) -> ledger.Ledger:
    """A ledger of stated entries, by their kinds."""
    found: dict[str, list[ledger.Entry]] = {name: [] for name, _ in KINDS.values()}
    for each in stated:
        name, kind = KINDS[each["kind"]]
        found[name].append(from_json(kind, {key: each[key] for key in each if key != "kind"}))
    return ledger.Ledger(**{name: tuple(entries) for name, entries in found.items()})  # type: ignore[arg-type]


def standing(rows: Sequence[Mapping[str, Any]]) -> Iterator[dict[str, Any]]:
    """The entries that stand, each with its kind and, as `entry`, the id of the row that states it.

    What was corrected is replaced by what took its place, or by nothing.
    """
    corrected = {row["corrects"] for row in rows if row["corrects"]}
    for row in rows:
        if row["id"] in corrected:
            continue
        stated = row["data"].get("replacement") if row["kind"] == "correction" else _stated(row)
        if stated is not None:
            yield {**stated, "entry": str(row["id"])}


def _stated(row: Mapping[str, Any]) -> dict[str, Any]:
    names = ("kind", "recorded_at", "recorded_by")
    return to_json({**row["data"], **{name: row[name] for name in names}})
