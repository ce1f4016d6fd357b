"""What repeats, said once: runs of numbers, hold points by their text, answers by what they say."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import datetime
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


def tag_runs(tags: Sequence[str]) -> str:
    """Tags in their order: first and last of three or more that count up, W1-01 – W1-04, others alone."""
    found: list[list[str]] = []
    for tag in tags:
        if found and _follows(found[-1][-1], tag):
            found[-1].append(tag)
        else:
            found.append([tag])
    told = ([f"{run[0]} – {run[-1]}"] if len(run) >= SHORTEST_RUN else run for run in found)
    return ", ".join(text for run in told for text in run)


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
    """The points of one text by answer, remark, who gave it and whether late, with when and what was read."""
    by_answer: dict[tuple[Any, ...], list[Facts]] = {}
    for point in points:
        said = (point["answer"], point["remark"], point["by"], point["late"])
        by_answer.setdefault(said, []).append(point)
    return [
        {
            **dict(zip(("answer", "remark", "by", "late"), key, strict=True)),
            "cavities": [point["cavity"] for point in same if point["cavity"]],
            "times": _span([point["happened_at"] for point in same if point["happened_at"]]),
            "readings": _readings(same),
        }
        for key, same in by_answer.items()
    ]


def most_common(said: Iterable[tuple[str, str] | None]) -> tuple[str, str] | None:
    """What is said most often, and more than once, to be told but once; None is nothing said."""
    ranked = Counter(each for each in said if each).most_common(1)
    return ranked[0][0] if ranked and ranked[0][1] > 1 else None


def _span(times: Sequence[str]) -> tuple[str, str] | None:
    # Each by the clock of its site: as texts they stand in no order.
    ordered = sorted(times, key=datetime.fromisoformat)
    return (ordered[0], ordered[-1]) if ordered else None


def _readings(points: Sequence[Facts]) -> dict[str, Any] | None:
    """The least and the greatest that was read, in the point's unit."""
    read = [point["reading"] for point in points if point["reading"] is not None]
    limit = points[0].get("limit")
    return {"span": (min(read), max(read)), "unit": limit["unit"] if limit else ""} if read else None
