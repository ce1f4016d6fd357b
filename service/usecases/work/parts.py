"""The parts of a job: those that were quoted, and those of its supplements.

Identical cavities, quoted in one line, are held one by one once they are accepted. What one of them
is worked out to is frozen with the quote, under the first one's label.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypedDict
from uuid import UUID

import orjson
from sqlalchemy import Connection

from service.engine.plan.cavity_takeoff import CavityTakeoff, cavity_takeoff
from service.engine.survey.cavity import Cavity
from service.engine.survey.single import one_by_one, single_labels
from service.store import quotes, supplements
from service.store.types import Deflated
from service.usecases.base.json import from_json
from service.usecases.work import agreed
from service.usecases.work.agreed import Agreements, Standing, Supplement
from service.usecases.work.basis import InForce

Row = Mapping[str, Any]


class Part(TypedDict):
    """A part by itself: as it was surveyed, as it was worked out, and how it stands.

    `origin` is the label of the cavity that it is one of.
    """

    label: str
    origin: str
    element: str
    surveyed: Any
    planned: Deflated
    supplement: str | None
    agreed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """A job's parts, in the order they were quoted and proposed, and what was agreed of them.

    They are those on the plan, or all that there `ever` were.
    """

    parts: tuple[Part, ...]
    agreements: Agreements
    ever: bool = False

    def summary(self, quoted: Row) -> dict[str, Any]:
        """A quote's totals and hold points with those of the supplements; its price stays the quote's."""
        labels = frozenset(part["label"] for part in self.parts)
        return self.agreements.summary(quoted, labels, ever=self.ever)

    @property
    def supplements(self) -> list[dict[str, Any]]:
        """What papers say of the supplements that have parts here, and of those that leave some out."""
        return [
            {**each.recorded, "parts": labels}
            for each in self.agreements.supplements
            if (labels := self._brought_by(each)) or (each.is_agreed and each.row["dropped"])
        ]

    def _brought_by(self, supplement: Supplement) -> list[str]:
        dropped = supplement.row["dropped"]
        mine = (part["label"] for part in self.parts if part["supplement"] == supplement.number)
        return [label for label in mine if label not in dropped]


def worked_out_singly(basis: InForce, posted: Mapping[str, Any]) -> CavityTakeoff:
    """The first of several identical cavities, worked out by itself."""
    surveyed = from_json(Cavity, posted)
    first = one_by_one(cavities=(surveyed,))[0]
    return cavity_takeoff(cavity=first, material=basis.material, practice=basis.practice, lances=basis.lances)


def parts_of(connection: Connection, quote_id: UUID, labels: Collection[str] | None = None) -> list[Part]:
    """A job's parts on the plan: all of them, or those with these labels."""
    parts = whole(connection, quote_id).parts
    return [part for part in parts if labels is None or part["label"] in labels]


def whole(connection: Connection, quote_id: UUID, *, ever: bool = False) -> Whole:
    """A job's parts with what was agreed of them: those on the plan, or all that there `ever` were."""
    agreements = agreed.of_quote(connection, quote_id)
    rows = _rows(connection, quote_id, agreements)
    parts = (part for row, own in rows for part in _one_by_one(row, own, agreements, ever=ever))
    return Whole(parts=tuple(parts), agreements=agreements, ever=ever)


def ever_called(connection: Connection, quote_id: UUID, labels: Collection[str]) -> Whole:
    """Those parts with these labels that there ever were; no others are read."""
    agreements = agreed.proposed(connection, quote_id)
    # `W1.2` is one of several `W1`, or is called so.
    origins = {each for label in labels for each in (label, label.rpartition(".")[0])}
    rows = _rows(connection, quote_id, agreements, origins)
    parts = (part for row, own in rows for part in _one_by_one(row, own, agreements, ever=True))
    called = tuple(part for part in parts if part["label"] in labels)
    return Whole(parts=called, agreements=agreements, ever=True)


def agreed_labels(connection: Connection, quote_id: UUID) -> frozenset[str]:
    """What those of a job's parts are called that are agreed; no working is read for it."""
    agreements = agreed.proposed(connection, quote_id)
    labels = set(_called(quotes.counts_of(connection, quote_id).items()))
    job_ids = {each.row["job_id"] for each in agreements.supplements}
    for row in supplements.lines_of(connection, job_ids) if job_ids else ():
        if agreements.by_id[row["supplement_id"]].is_agreed:
            labels.update(_called([(row["label"], row["count"])]))
    return frozenset(labels - agreements.dropped.keys())


def _called(counted: Iterable[tuple[str, int]]) -> Iterator[str]:
    for label, count in counted:
        yield from single_labels(label=label, count=count)


def _rows(
    connection: Connection, quote_id: UUID, agreements: Agreements, labels: Collection[str] | None = None
) -> Iterator[tuple[Row, Supplement | None]]:
    for row in quotes.cavities_of(connection, quote_id, labels):
        yield row, None
    if agreements.supplements:
        job_id = agreements.supplements[0].row["job_id"]
        serial = {each.id: each.row["serial"] for each in agreements.supplements}
        added = supplements.cavities_of(connection, job_id, labels)
        for each in sorted(added, key=lambda row: (serial[row["supplement_id"]], row["position"])):
            yield each, agreements.by_id[each["supplement_id"]]


def _one_by_one(row: Row, own: Supplement | None, agreements: Agreements, *, ever: bool) -> Iterator[Part]:
    for part in _singles(row):
        standing = agreements.standing(part["label"], own)
        if ever or standing.planned:
            yield _standing(part, row.get("origin", row["label"]), standing)


def _standing(part: Row, origin: str, standing: Standing) -> Part:
    return {
        "label": part["label"],
        "origin": origin,
        "element": part["element"],
        "surveyed": part["surveyed"],
        "planned": part["planned"],
        "supplement": standing.supplement,
        "agreed": standing.agreed,
    }


def _singles(row: Row) -> Iterator[Row]:
    planned = row["single"]
    if planned is None:
        yield row
        return
    surveyed = {name: value for name, value in row["surveyed"].items() if name != "count"}
    labels = single_labels(label=row["label"], count=row["count"])
    for label in labels:
        yield {
            **row,
            "label": label,
            "surveyed": {**surveyed, "label": label},
            "planned": Relabelled(planned.content, labels[0], label),
        }


class Relabelled(Deflated):
    """What the first of several identical parts was worked out to, for another one of them."""

    def __init__(self, content: bytes, first: str, label: str) -> None:
        super().__init__(content)
        self.first, self.label = first, label

    @property
    def plain(self) -> Any:
        """The values, with the label of this one."""
        return relabelled(orjson.loads(super().text), self.first, self.label)

    @property
    def text(self) -> bytes:
        """The JSON of these."""
        return orjson.dumps(self.plain)


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
