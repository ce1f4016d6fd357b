"""How the holes of a part were closed: each way once, with the holes that it is true of."""

from collections.abc import Iterator, Sequence
from typing import Any

from service.documents.papers.groups import runs, tag_runs

Facts = dict[str, Any]
OF_A_PATCH = ("width_mm", "height_mm", "tape", "wiped", "pressed_on", "by")


def closings(plan: Sequence[Facts], found: Facts) -> list[Facts]:
    """Each way of closing with its holes, that of most holes first.

    Holes of one way were closed alike, by one person and on one day, whether that was said of all
    together or of each.
    """
    alike: dict[str, list[Facts]] = {}
    for hole in _closed(plan, found):
        how = [hole["patch"][name] for name in OF_A_PATCH]
        alike.setdefault(str([*how, hole["patch"]["happened_at"][:10]]), []).append(hole)
    ways = [{"patch": same[0]["patch"], **named(same)} for same in alike.values()]
    return sorted(ways, key=lambda way: -way["count"])


def named(holes: Sequence[Facts]) -> Facts:
    """What holes are called: by numbers of the plan, tags of their own, the bays of samples."""
    return {
        "count": len(holes),
        "entries": sum(hole["purpose"] == "entry" for hole in holes),
        "numbers": runs(sorted(hole["number"] for hole in holes if hole["number"] is not None)),
        "tags": tag_runs([hole["tag"] for hole in holes if hole["tag"]]),
        "added": sum(not (hole["number"] or hole["tag"] or hole["bay"]) for hole in holes),
        "samples": runs(sorted({hole["bay"] or 1 for hole in holes if hole["purpose"] == "sample"})),
    }


def left_open(found: Facts) -> Facts | None:
    """The holes that were made and that nobody says are closed; None where there are none."""
    numbered = [_of_all(number, None) for number in found["open"]]
    added = [_of_all(None, None) for _ in range(found["open_added"])]
    holes = [*numbered, *added, *(each for each in found["singles"] if each["patch"] is None)]
    return named(holes) if holes else None


def _closed(plan: Sequence[Facts], found: Facts) -> Iterator[Facts]:
    """Every hole that is closed, those that were said of the whole part among them."""
    for each in found["closed_apart"]:
        yield _of_all(each["number"], each["patch"])
    if found["patch"]:
        yield from (_of_all(number, found["patch"]) for number in _by_statement(plan, found))
        added = len(found["added"]) - found["open_added"]
        yield from (_of_all(None, found["patch"]) for _ in range(added))
    yield from (each for each in found["singles"] if each["patch"])


def _by_statement(plan: Sequence[Facts], found: Facts) -> list[int]:
    """Numbers of the plan that were said to be made and closed with the whole part, and of none by itself."""
    by_itself = {each["number"] for each in (*found["closed_apart"], *found["singles"])}
    gone = by_itself.union(found["omitted"], found["open"])
    numbers = [hole["number"] for hole in plan] if found["stated"] else []
    return [number for number in numbers if number not in gone]


def _of_all(number: int | None, patch: Facts | None) -> Facts:
    return {"number": number, "tag": None, "bay": None, "purpose": "entry", "patch": patch}
