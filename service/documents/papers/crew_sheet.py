"""The crew's sheet: targets, holes, sequence and blanks, for a clipboard and a dusty hand."""

from collections import Counter
from collections.abc import Iterator, Sequence
from json import dumps, loads
from math import ceil
from typing import Any

from service.documents.drawings.elevation import elevation, scale_within
from service.documents.papers.groups import hold_points, runs
from service.documents.papers.parts import parts
from service.documents.papers.reasons import together
from service.documents.pdf import render
from service.documents.wording.formats import KINDS, Units

Facts = dict[str, Any]

BLANKS_A_ROW = 12
BESIDE_MM, ALONE_MM = 126.0, 170.0
"""How wide a drawing may be that has figures beside it, and one that has none."""
HIGHEST_MM = 27.0
WORTH_ALONE = 1.3
"""How much larger a drawing has to become for its figures to go below it."""


def html(facts: Facts) -> str:
    """The crew's sheet of these facts: of a job as it was planned."""
    points = facts["takeoff"]["hold_points"]
    sheets = [part | _of_one(part, facts) for part in parts(facts)]
    return render.to_html(
        "crew_sheet.html",
        units=Units.of(facts),
        facts=facts,
        parts=sheets,
        how=together((part, said) for part in sheets for said in part["how"]),
        settings=together(_settings(sheets)),
        before=hold_points(point for point in points if point["stage"] == "before"),
        after=hold_points(point for point in points if point["stage"] == "after"),
        elevation=elevation,
        highest_mm=HIGHEST_MM,
        kinds=KINDS,
    )


def pdf(facts: Facts) -> bytes:
    """The crew's sheet as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    written = html(facts)
    # Of a large building it takes room that printing can do with.
    del facts
    return render.to_pdf(written)


def _of_one(part: dict[str, Any], facts: Facts) -> dict[str, Any]:
    """What is done in one of the identical cavities."""
    planned, plan = part["planned"], part["planned"]["fill_plan"]
    mass_kg = planned["mass_kg"] / part["cavity"]["count"]
    spaces, steps = planned["compartments"], _steps(plan["sequence"])
    return {
        "mass_kg": mass_kg,
        "bags": mass_kg / facts["material"]["bag_kg"],
        "holes": plan["hole_list"],
        "usual": _usual(plan["hole_list"]),
        "odd": _odd(plan["hole_list"]),
        "heights": _heights(plan["hole_list"]),
        "steps": [step for step in steps if not step["every"]],
        "how": [*(step["text"] for step in steps if step["every"]), *_proof(plan), *_notes(planned)],
        "drawn_mm": _drawn_mm(part["cavity"]),
        "unplaced": any(space["shared"] and not space["spills"] for space in spaces),
        "tally": _in_rows(_tally(planned["loads"])),
        "samples": plan["proof"]["sampled_bays"] if plan["proof"] else [],
        "awaits": _awaits(part["cavity"]["label"], facts),
    }


def _proof(plan: Facts) -> list[Any]:
    """What its density is proven by, where it has one."""
    return [plan["proof"]["how"]] if plan["proof"] else []


def _awaits(label: str, facts: Facts) -> str | None:
    """The number of the supplement that brings a part and that nobody has accepted yet."""
    open_ = (each for each in facts.get("supplements", ()) if not each["agreed"])
    return next((each["number"] for each in open_ if label in each["parts"]), None)


def _settings(sheets: Sequence[Facts]) -> Iterator[tuple[Facts, Any]]:
    """How the machine is set for each part."""
    for part in sheets:
        if settings := part["planned"]["fill_plan"]["settings"]:
            yield part, settings


def _notes(planned: Facts) -> list[Any]:
    """What a crew must know of a part, without what only concerns its figures of heat."""
    return [said for said in planned["cautions"] if said not in planned["thermal"]["notes"]]


def _drawn_mm(cavity: Facts) -> float:
    """How wide the drawing may be: beside its figures, unless a long part could not be read there."""
    beside, alone = (scale_within(cavity, width_mm, HIGHEST_MM) for width_mm in (BESIDE_MM, ALONE_MM))
    return ALONE_MM if alone > WORTH_ALONE * beside else BESIDE_MM


def _usual(holes: Sequence[Facts]) -> tuple[float, float] | None:
    """The size, width and height, that most holes have."""
    sizes = Counter((hole["width_mm"], hole["height_mm"]) for hole in holes)
    return max(sizes, key=lambda size: sizes[size], default=None)


def _odd(holes: Sequence[Facts]) -> list[dict[str, Any]]:
    """The holes that are of another size or have a note, together where both are the same."""
    usual = _usual(holes)
    alike: dict[tuple[Any, ...], list[int]] = {}
    for hole in holes:
        size = (hole["width_mm"], hole["height_mm"])
        if size != usual or hole["note"]:
            alike.setdefault((size, dumps(hole["note"])), []).append(hole["number"])
    return [
        {"numbers": runs(numbers), "count": len(numbers), "size": size, "note": loads(note)}
        for (size, note), numbers in alike.items()
    ]


def _heights(holes: Sequence[Facts]) -> list[dict[str, Any]]:
    """The heights at which holes sit, from below, each with the numbers of its holes."""
    by_height: dict[float, list[int]] = {}
    for hole in holes:
        by_height.setdefault(round(hole["height_m"], 3), []).append(hole["number"])
    return [
        {"height_m": height, "count": len(by_height[height]), "numbers": runs(by_height[height])}
        for height in sorted(by_height)
    ]


def _steps(sequence: Sequence[Facts]) -> list[dict[str, Any]]:
    """Each sentence of the sequence once, with the bays that it holds for.

    In the order of the step that says most, which has every sentence of its way of filling.
    """
    bays_of: dict[str, list[int]] = {}
    for step in sorted(sequence, key=lambda step: -len(step["notes"])):
        for note in step["notes"]:
            bays_of.setdefault(dumps(note), []).append(step["bay"])
    return [
        {
            "text": loads(note),
            "every": len(bays) == len(sequence),
            "count": len(bays),
            "bays": runs(sorted(bays)),
        }
        for note, bays in bays_of.items()
    ]


def _tally(loads: Sequence[Facts]) -> list[dict[str, Any]]:
    """A blank to write on for every space that is its bay's own, with its target."""
    return [
        {"name": load["label"].rpartition("/")[2], "mass_kg": load["mass_kg"]}
        for load in loads
        if len(load["bays"]) == 1
    ]


def _in_rows(blanks: Sequence[dict[str, Any]]) -> list[Sequence[dict[str, Any]]]:
    """The blanks in as few rows as have room to write, all of one length but the last."""
    if not blanks:
        return []
    rows = ceil(len(blanks) / BLANKS_A_ROW)
    length = ceil(len(blanks) / rows)
    return [blanks[i : i + length] for i in range(0, len(blanks), length)]
