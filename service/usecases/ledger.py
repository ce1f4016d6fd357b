"""From stored rows to what the engine assesses: the ledger as it stands, and the plan it is held against."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping

from service.engine import ledger
from service.engine.assessment import Planned
from service.engine.cavity import Cavity
from service.engine.hold_points import HoldPoint
from service.engine.practice import Material, Practice
from service.engine.takeoff import CavityTakeoff
from service.store import quotes
from service.usecases.jobs import quote_of
from service.usecases.plain import plain, structured

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
    rows = quotes.cavities_of(connection, quote["id"])
    return Plan(
        quote=quote,
        cavities=tuple(_planned(row) for row in rows),
        hold_points=structured(tuple[HoldPoint, ...], quote["summary"]["hold_points"]),
        material=structured(Material, quote["basis"]["material"]),
        practice=structured(Practice, quote["basis"]["practice"]),
    )


def _planned(row: RowMapping) -> Planned:
    planned = structured(CavityTakeoff, row["planned"])
    return Planned(
        cavity=structured(Cavity, row["surveyed"]),
        geometry=planned.geometry,
        compartments=planned.compartments,
        density=planned.density,
        open_blow=planned.open_blow,
    )


def ledger_of(rows: Sequence[Mapping[str, Any]]) -> ledger.Ledger:
    """The entries that stand: what was corrected is replaced by what took its place, or by nothing."""
    found: dict[str, list[ledger.Entry]] = {name: [] for name, _ in KINDS.values()}
    for entry in standing(rows):
        name, kind = KINDS[entry.pop("kind")]
        found[name].append(structured(kind, entry))
    return ledger.Ledger(**{name: tuple(entries) for name, entries in found.items()})  # type: ignore[arg-type]


def standing(rows: Sequence[Mapping[str, Any]]) -> Iterator[dict[str, Any]]:
    """The entries that stand, each with its kind and, as `entry`, the id of the row that states it."""
    corrected = {row["corrects"] for row in rows if row["corrects"]}
    for row in rows:
        if row["id"] in corrected:
            continue
        stated = row["data"].get("replacement") if row["kind"] == "correction" else _stated(row)
        if stated is not None:
            yield {**stated, "entry": str(row["id"])}


def _stated(row: Mapping[str, Any]) -> dict[str, Any]:
    names = ("kind", "recorded_at", "recorded_by")
    return plain({**row["data"], **{name: row[name] for name in names}})
