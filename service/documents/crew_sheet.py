"""The crew's sheet: targets, holes, sequence and blanks, for a clipboard and a dusty hand."""

from itertools import groupby
from typing import Any

from service.documents import render
from service.documents.elevation import elevation
from service.documents.parts import parts

Facts = dict[str, Any]


def html(facts: Facts) -> str:
    """The crew's sheet of these facts: of a job as it was planned."""
    points = facts["takeoff"]["hold_points"]
    return render.to_html(
        "crew_sheet.html",
        market=facts["market"],
        facts=facts,
        parts=[part | _of_one(part, facts["material"]["bag_kg"]) for part in parts(facts)],
        before=[point for point in points if point["stage"] == "before"],
        after=[point for point in points if point["stage"] == "after"],
        elevation=elevation,
    )


def pdf(facts: Facts) -> bytes:
    """The crew's sheet as PDF/UA-1; raises DocumentFailed where it cannot be made."""
    return render.to_pdf(html(facts))


def _of_one(part: dict[str, Any], bag_kg: float) -> dict[str, Any]:
    """What is done in one of the identical cavities."""
    planned, plan = part["planned"], part["planned"]["fill_plan"]
    mass_kg = planned["mass_kg"] / part["cavity"]["count"]
    return {
        "mass_kg": mass_kg,
        "bags": mass_kg / bag_kg,
        "holes": plan["hole_list"],
        "heights": _heights(plan["hole_list"]),
        "steps": _steps(plan["sequence"]),
        "patches": plan["patches"],
        "shared": any(space["shared"] for space in planned["compartments"]),
        "tally": _tally(planned["compartments"], mass_kg),
    }


def _heights(holes: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The heights at which holes sit, from below, each with the numbers of its holes."""
    by_height: dict[float, list[int]] = {}
    for hole in holes:
        by_height.setdefault(round(hole["height_m"], 3), []).append(hole["number"])
    return [
        {"height_m": height, "count": len(by_height[height]), "numbers": _runs(by_height[height])}
        for height in sorted(by_height)
    ]


def _steps(sequence: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Bays that follow one another and ask for the same become one step."""
    steps = []
    for (note, recompress), same in groupby(sequence, key=lambda step: (step["note"], step["recompress"])):
        bays = [step["bay"] for step in same]
        steps.append({"bays": _runs(bays), "single": len(bays) == 1, "note": note, "recompress": recompress})
    return steps


def _runs(numbers: list[int]) -> str:
    """Whole numbers as ranges: 1–4, 7, 9–11."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(f"{run[0]}–{run[-1]}" if len(run) > 1 else f"{run[0]}" for run in runs)


def _tally(compartments: list[dict[str, Any]], mass_kg: float) -> list[dict[str, Any]]:
    """A row to write on for every bay; where it is a space of its own, with its share of the mass."""
    volume_m3 = sum(space["net_volume_m3"] for space in compartments)
    rows = []
    for space in compartments:
        if space["shared"]:
            rows += [{"name": str(bay), "mass_kg": None} for bay in space["bays"]]
        else:
            share = mass_kg * space["net_volume_m3"] / volume_m3
            rows.append({"name": space["label"], "mass_kg": share})
    return rows
