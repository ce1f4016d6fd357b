"""What repeats, said once: runs of numbers and tags, hold points by their text, openings by their closing."""

import re
from collections.abc import Iterable, Sequence
from typing import Any

Facts = dict[str, Any]
NUMBERED = re.compile(r"(.*?)([0-9]+)", re.DOTALL)
SHORTEST_RUN = 3


def runs(numbers: Iterable[int]) -> str:
    """Whole numbers in their order, as ranges where they follow one another: 1–4, 7, 9–11."""
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][-1] + 1:
            found[-1].append(number)
        else:
            found.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in found)


def tag_runs(tags: Sequence[str]) -> list[tuple[str, str | None]]:
    """Tags in their order: first and last of three or more that count up, others alone with None."""
    found: list[list[str]] = []
    for tag in tags:
        if found and _follows(found[-1][-1], tag):
            found[-1].append(tag)
        else:
            found.append([tag])
    pairs: list[tuple[str, str | None]] = []
    for run in found:
        whole = len(run) >= SHORTEST_RUN
        pairs += [(run[0], run[-1])] if whole else [(tag, None) for tag in run]
    return pairs


def _follows(one: str, other: str) -> bool:
    """Whether the tags differ in their last number only, by one, written with the same zeros."""
    left, right = NUMBERED.fullmatch(one), NUMBERED.fullmatch(other)
    if not left or not right or left[1] != right[1]:
        return False
    return str(int(left[2]) + 1).zfill(len(left[2])) == right[2]


def hold_points(points: Iterable[Facts]) -> list[Facts]:
    """Each text once, with its points: what concerns the whole job first, then what repeats by part."""
    by_text: dict[tuple[Any, ...], list[Facts]] = {}
    for point in points:
        by_text.setdefault((point["code"], *sorted(point["text"].items())), []).append(point)
    groups = [
        {
            "text": same[0]["text"],
            "source": same[0]["source"],
            "unit": (same[0].get("limit") or {}).get("unit", ""),
            "safety": any(point["safety"] for point in same),
            "points": same,
            "cavities": [point["cavity"] for point in same if point["cavity"]],
        }
        for same in by_text.values()
    ]
    return sorted(groups, key=lambda group: bool(group["cavities"]))


def answers(points: Sequence[Facts]) -> list[Facts]:
    """The points of one text by their answer, reading and remark, with who gave it and when."""
    by_answer: dict[tuple[Any, ...], list[Facts]] = {}
    for point in points:
        key = (point["answer"], point["reading"], point["remark"], point["by"])
        by_answer.setdefault(key, []).append(point)
    return [
        {
            **dict(zip(("answer", "reading", "remark", "by"), key, strict=True)),
            "cavities": [point["cavity"] for point in same if point["cavity"]],
            "everywhere": len(same) == len(points),
            "times": _span([point["happened_at"] for point in same if point["happened_at"]]),
        }
        for key, same in by_answer.items()
    ]


def _span(times: Sequence[str]) -> tuple[str, str] | None:
    return (min(times), max(times)) if times else None


def openings(holes: Iterable[Facts]) -> list[Facts]:
    """Holes recorded by themselves: those of one purpose, size and closing together, unclosed ones last."""
    alike: dict[tuple[Any, ...], list[Facts]] = {}
    for each in holes:
        alike.setdefault((each["patch"] is None, each["purpose"], _size(each), _closing(each)), []).append(
            each
        )
    return [_told_together(same) for _, same in sorted(alike.items(), key=lambda item: item[0][0])]


def _told_together(same: Sequence[Facts]) -> Facts:
    bays = sorted({each["bay"] for each in same if each["bay"] is not None})
    named = [str(each["tag"] or each["number"]) for each in same if each["tag"] or each["number"]]
    return {
        "first": same[0],
        "count": len(same),
        "tags": tag_runs(named),
        "bays": runs(bays),
        "bay_count": len(bays),
        "patch": same[0]["patch"],
    }


def _size(hole: Facts) -> tuple[float, float]:
    return hole["width_mm"] or 0.0, hole["height_mm"] or 0.0


def _closing(hole: Facts) -> tuple[Any, ...]:
    """What two closings must have in common to be told in one breath."""
    patch = hole["patch"]
    if patch is None:
        return ()
    told = ("tape", "wiped", "pressed_on", "by", "stated")
    return (_size(patch), *(patch[name] for name in told), patch["happened_at"][:10])


def by_part(holes: Iterable[Facts]) -> list[Facts]:
    """The holes of each part that has any: what is said of all together, and those told by themselves."""
    return [
        each
        | {
            "groups": openings(each["singles"]),
            "omitted_runs": runs(each["omitted"]),
            "open_runs": runs(each["open"]),
        }
        for each in holes
        if each["stated_by"] or each["singles"]
    ]
