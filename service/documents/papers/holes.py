"""The holes of a part as they were made: where each is, who says so, and what closes it."""

from collections.abc import Iterable, Sequence
from typing import Any

from service.documents.papers.closings import closings, left_open
from service.documents.papers.groups import most_common, runs, tag_runs
from service.documents.wording.formats import Units

Facts = dict[str, Any]


def made(part: Facts, found: Facts | None) -> list[Facts]:
    """The entry holes of a part that somebody says were made, each at its place, for a drawing.

    A planned hole that nobody says was made is not among them. Its place is the plan's unless
    it was measured; a hole whose place nobody knows is in the table alone.
    """
    if found is None:
        return []
    singles = {each["number"]: each for each in found["singles"] if each["number"] is not None}
    gone = {*found["omitted"], *found["unaccounted"]} - set(singles)
    planned = [
        _placed(hole, singles.get(hole["number"]))
        for hole in part["planned"]["fill_plan"]["hole_list"]
        if hole["number"] not in gone
    ]
    return planned + [_measured(each) for each in _others(found) if _has_place(each)]


def _placed(hole: Facts, single: Facts | None) -> Facts:
    if single is None or not _has_place(single):
        return {"number": hole["number"], "x_m": hole["x_m"], "height_m": hole["height_m"]}
    return {"number": hole["number"], "x_m": single["x_m"], "height_m": single["height_m"]}


def _measured(each: Facts) -> Facts:
    return {"number": None, "x_m": each["x_m"], "height_m": each["height_m"]}


def _has_place(each: Facts) -> bool:
    return each["x_m"] is not None and each["height_m"] is not None


def _others(found: Facts) -> Iterable[Facts]:
    """Entry holes that the plan does not have."""
    singles = (each for each in found["singles"] if each["number"] is None and each["purpose"] == "entry")
    return (*found["added"], *singles)


def rows(parts: Sequence[Facts], findings: Sequence[Facts]) -> list[Facts]:
    """The table of holes: a row a part, what was said of all together and what was recorded one by one."""
    by_label = {each["cavity"]: each for each in findings}
    return [
        _row(part, by_label[part["cavity"]["label"]])
        for part in parts
        if part["cavity"]["label"] in by_label and _any(by_label[part["cavity"]["label"]])
    ]


def told_once(rows: Sequence[Facts], units: Units) -> tuple[list[Facts], Facts]:
    """The rows, and who stated and closed what most of them have: by whom, and on which day.

    A row that is like most of them need not say so; one that differs in any of it says all.
    """
    made = [_statement(row, units) for row in rows]
    closed = [_closing(row, units) for row in rows]
    usual = {"made": most_common(made), "closed": most_common(closed)}
    alike = [
        row
        | {
            "as_usual": statement is not None and statement == usual["made"],
            "closed_as_usual": closing is not None and closing == usual["closed"],
        }
        for row, statement, closing in zip(rows, made, closed, strict=True)
    ]
    return alike, usual


def _statement(row: Facts, units: Units) -> tuple[str, str] | None:
    """Who said, and when, that the holes are as planned; None where that was not said of all."""
    if not row["stated"] or not row["as_planned"]:
        return None
    return row["stated_by"], units.day(row["stated_at"])


def _closing(row: Facts, units: Units) -> tuple[str, str] | None:
    """Who closed most holes as they should be, and when; None where there is more to say of it."""
    patch = row["closings"][0]["patch"] if row["closings"] else None
    if patch is None or patch["tape"] or patch["width_mm"] is not None or not _counts(patch):
        return None
    return patch["by"], units.day(patch["happened_at"])


def _any(found: Facts) -> bool:
    return bool(found["planned"] or found["made"] or found["singles"])


def _row(part: Facts, found: Facts) -> Facts:
    plan = part["planned"]["fill_plan"]
    entries = [each for each in found["singles"] if each["purpose"] == "entry"]
    others = [each for each in found["singles"] if each["purpose"] != "entry"]
    unplanned = [each for each in entries if each["number"] is None]
    return found | {
        "label": found["cavity"],
        "sizes": _sizes(_as_stated(plan["hole_list"], found)) if found["stated"] else _sizes(entries),
        "numbers": runs(sorted(each["number"] for each in entries if each["number"] is not None)),
        "tags": tag_runs([each["tag"] for each in unplanned]),
        "resized": _resized(plan["hole_list"], entries) if found["stated"] else [],
        "besides": [*found["added"], *(unplanned if found["stated"] else ())],
        "others": _by_purpose(others),
        "all": found["made"] + found["others"],
        "closings": closings(plan["hole_list"], found),
        "left_open": left_open(found),
        "patch_size": (plan["patch_width_mm"], plan["patch_height_mm"]),
    }


def _as_stated(plan: Sequence[Facts], found: Facts) -> list[Facts]:
    """The planned holes that are said to be as planned, without those that were recorded by themselves."""
    gone = {*found["omitted"], *(each["number"] for each in found["singles"])}
    left = [hole for hole in plan if hole["number"] not in gone]
    return left or [hole for hole in plan if hole["number"] not in found["omitted"]]


def _resized(plan: Sequence[Facts], entries: Sequence[Facts]) -> list[Facts]:
    """Planned holes that were made in another size, those of one size together."""
    planned = {hole["number"]: (hole["width_mm"], hole["height_mm"]) for hole in plan}
    alike: dict[tuple[float, float], list[int]] = {}
    for each in entries:
        size = (each["width_mm"], each["height_mm"])
        if each["number"] is not None and size != planned.get(each["number"]):
            alike.setdefault(size, []).append(each["number"])
    return [{"numbers": runs(sorted(numbers)), "size": size} for size, numbers in alike.items()]


def _counts(patch: Facts) -> bool:
    return bool(patch["wiped"] and patch["pressed_on"])


def _sizes(holes: Sequence[Facts]) -> list[tuple[float, float]]:
    """Each size once, the most frequent first; a size that nobody gave is none."""
    counts: dict[tuple[float, float], int] = {}
    for hole in holes:
        if hole["width_mm"] is not None and hole["height_mm"] is not None:
            size = (hole["width_mm"], hole["height_mm"])
            counts[size] = counts.get(size, 0) + 1
    return sorted(counts, key=lambda size: -counts[size])


def _by_purpose(singles: Sequence[Facts]) -> list[Facts]:
    alike: dict[str, list[Facts]] = {}
    for each in singles:
        alike.setdefault(each["purpose"], []).append(each)
    return [
        {
            "purpose": purpose,
            "count": len(same),
            "tags": tag_runs([each["tag"] for each in same if each["tag"]]),
            "bays": runs(sorted({each["bay"] for each in same if each["bay"] is not None})),
            "sizes": _sizes(same),
        }
        for purpose, same in alike.items()
    ]
