"""What repeats, said once: runs of numbers and tags, hold points by their text, openings by their closing."""

import re
from collections.abc import Iterable, Sequence
from itertools import groupby
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
        key = (point["answer"], point["reading"], point["remark"], point["recorded_by"])
        by_answer.setdefault(key, []).append(point)
    return [
        {
            **dict(zip(("answer", "reading", "remark", "recorded_by"), key, strict=True)),
            "cavities": [point["cavity"] for point in same if point["cavity"]],
            "everywhere": len(same) == len(points),
            "times": _span([point["recorded_at"] for point in same if point["recorded_at"]]),
        }
        for key, same in by_answer.items()
    ]


def _span(times: Sequence[str]) -> tuple[str, str] | None:
    return (min(times), max(times)) if times else None


def openings(penetrations: Iterable[Facts]) -> list[Facts]:
    """The openings of one part: those of one purpose, size and closing together, unclosed ones last."""
    alike: dict[tuple[Any, ...], list[Facts]] = {}
    for each in penetrations:
        alike.setdefault((each["patch"] is None, each["purpose"], _size(each), _closing(each)), []).append(
            each
        )
    return [_told_together(same) for _, same in sorted(alike.items(), key=lambda item: item[0][0])]


def _told_together(same: Sequence[Facts]) -> Facts:
    bays = sorted({each["bay"] for each in same if each["bay"] is not None})
    return {
        "first": same[0],
        "count": len(same),
        "tags": tag_runs([each["tag"] for each in same]),
        "bays": runs(bays),
        "bay_count": len(bays),
        "patch": same[0]["patch"],
    }


def _size(opening: Facts) -> tuple[float, float]:
    return opening["width_mm"], opening["height_mm"]


def _closing(opening: Facts) -> tuple[Any, ...]:
    """What two closings must have in common to be told in one breath."""
    patch = opening["patch"]
    if patch is None:
        return ()
    told = ("tape", "wiped", "rubbed_down", "recorded_by")
    return (_size(patch), *(patch[name] for name in told), patch["recorded_at"][:10])


def by_cavity(labels: Sequence[str], penetrations: Sequence[Facts]) -> list[tuple[str, list[Facts]]]:
    """The openings of each part that has any, in the order of the parts."""
    order = {label: place for place, label in enumerate(labels)}
    ranked = sorted(penetrations, key=lambda each: order.get(each["cavity"], len(order)))
    return [(label, openings(same)) for label, same in groupby(ranked, key=lambda each: each["cavity"])]
