"""The parts of a job: identical cavities, quoted in one line, are held one by one once they are accepted.

What one of them is worked out to is frozen with the quote, under the first one's label.
"""

from collections.abc import Collection, Iterator, Mapping
from typing import Any
from uuid import UUID

from sqlalchemy import Connection

from service.engine.plan.cavity_takeoff import CavityTakeoff, cavity_takeoff
from service.engine.survey.cavity import Cavity
from service.engine.survey.single import one_by_one, single_labels
from service.store import quotes
from service.store.row_types import QuoteCavity
from service.usecases.base.json import from_json, to_json
from service.usecases.work.basis import InForce


def worked_out_singly(basis: InForce, posted: Mapping[str, Any]) -> CavityTakeoff | None:
    """The first of several identical cavities, worked out by itself; None of a single one."""
    surveyed = from_json(Cavity, to_json(posted))
    if surveyed.count == 1:
        return None
    first = one_by_one(cavities=(surveyed,))[0]
    return cavity_takeoff(cavity=first, material=basis.material, practice=basis.practice, lances=basis.lances)


def parts_of(
    connection: Connection, quote_id: UUID, labels: Collection[str] | None = None
) -> list[QuoteCavity]:
    """A job's parts, in the order they were quoted: all of them, or those with these labels."""
    rows = quotes.cavities_of(connection, quote_id)
    parts = (part for row in rows for part in _one_by_one(row))
    return [part for part in parts if labels is None or part["label"] in labels]


def _one_by_one(row: QuoteCavity) -> Iterator[QuoteCavity]:
    planned = row["single"]
    if planned is None:
        yield row
        return
    surveyed = {name: value for name, value in row["surveyed"].items() if name != "count"}
    for label in single_labels(label=row["label"], count=row["count"]):
        yield {
            **row,
            "label": label,
            "mass_kg": planned["mass_kg"],
            "count": 1,
            "surveyed": {**surveyed, "label": label},
            "planned": relabelled(planned, planned["label"], label),
        }


def relabelled(value: Any, old: str, new: str) -> Any:
    """What was worked out, with another label, also in the names of its compartments (`W1.1/3`)."""
    match value:
        case str():
            named = value == old or value.startswith(f"{old}/")
            return new + value[len(old) :] if named else value
        case dict():
            return {name: relabelled(each, old, new) for name, each in value.items()}
        case list():
            return [relabelled(each, old, new) for each in value]
    return value
