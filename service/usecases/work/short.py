"""Short answers: a building's totals, and one line a cavity. What they are made of is plain JSON already."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import orjson

from service.engine.ground.figures import rounded
from service.engine.survey.single import single_labels
from service.store.row_types import QuoteLine, SupplementLine
from service.usecases.work.agreed import Agreements
from service.usecases.work.parts import relabelled


def short(summary: Mapping[str, Any], lines: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """A takeoff in short: of its hold points the codes, and each caution said once."""
    lines = list(lines)
    return {
        **summary,
        "cavities": [each["line"] for each in lines],
        "cautions": _said_once(lines),
        "hold_points": list(dict.fromkeys(point["code"] for point in summary["hold_points"])),
    }


def _said_once(lines: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    found: dict[bytes, dict[str, Any]] = {}
    for each in lines:
        for said in each["cautions"]:
            caution = found.setdefault(
                orjson.dumps(said, option=orjson.OPT_SORT_KEYS), {"said": said, "cavities": []}
            )
            caution["cavities"].append(each["line"]["label"])
    return list(found.values())


def kept(
    summary: Mapping[str, Any], rows: Sequence[Mapping[str, Any]]
) -> tuple[dict[str, Any], dict[str, Any] | None]:
    """A quote's takeoff in short as it is answered: by cavities, and where that differs by single parts."""
    whole = rounded(short(summary, [row["line"] for row in rows]))
    if all(row["single_line"] is None for row in rows):
        return whole, None
    return whole, rounded(short(summary, [line for row in rows for line in one_by_one(row)]))


def of_job(
    rows: Iterable[QuoteLine], added: Iterable[SupplementLine], agreements: Agreements
) -> list[Mapping[str, Any]]:
    """The lines of a job's parts on the plan, one by one: those quoted, and those that supplements added."""
    serial = {each.id: each.row["serial"] for each in agreements.supplements}
    ordered = sorted(added, key=lambda row: serial[row["supplement_id"]])
    owned = [
        *((row, None) for row in rows),
        *((row, agreements.by_id[row["supplement_id"]]) for row in ordered),
    ]
    return [
        line
        for row, own in owned
        for line in one_by_one(row)
        if agreements.standing(line["line"]["label"], own).planned
    ]


def one_by_one(row: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The line of each of the identical parts that a cavity stands for."""
    line = row["single_line"]
    if line is None:
        return [row["line"]]
    first = line["line"]["label"]
    labels = single_labels(label=row["label"], count=row["count"])
    return [relabelled(line, first, label) for label in labels]
