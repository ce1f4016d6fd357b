"""What is known of the density of a certificate's parts, as tables and strips show it."""

from collections.abc import Sequence
from typing import Any

from service.documents.drawings.strip import Reading, Window
from service.documents.papers.groups import runs
from service.documents.wording.formats import DENSITY, Units

Part = dict[str, Any]
Space = dict[str, Any]


def decisive(part: Part) -> list[Reading]:
    """What decides of each space of a part, to be shown in one strip."""
    return [
        Reading(figures["density_kg_m3"], figures["expanded_u_kg_m3"])
        for space in part["found"]["compartments"]
        if (figures := space["achieved"])
    ]


def of_part(part: Part, units: Units) -> dict[str, Any] | None:
    """The row of a dense part in the table of evidence; None for an open blow."""
    spaces = part["found"]["compartments"]
    if not spaces:
        return None
    known = [space["achieved"] for space in spaces if space["achieved"]]
    return {
        "label": part["cavity"]["label"],
        "window": part["window"],
        "room_m3": sum(space["net_volume_m3"] + space["bulge_volume_m3"] for space in spaces),
        "balances": _balances(spaces, units),
        "widest": max(
            (each["mass_balance"]["expanded_u_kg_m3"] for each in spaces if each["mass_balance"]),
            default=None,
        ),
        "samples": [sample for space in spaces for sample in _samples(space, part["window"], units)],
        "contradicted": any(_contradicts(space) for space in spaces),
        "least": min((each["probability"] for each in known), default=None),
        "doubts": _doubts(known),
        "notes": list({str(space["note"]): space["note"] for space in spaces if space["note"]}.values()),
        "unfilled": [bay for space in spaces for bay in space["unfilled"]],
    }


def density(part: Part) -> tuple[float, float, float] | None:
    """The lowest and the highest density of a part's spaces, and the widest uncertainty; None if unknown."""
    readings = decisive(part)
    if not readings or len(readings) < len(part["found"]["compartments"]):
        return None
    values = [each.density_kg_m3 for each in readings]
    return min(values), max(values), max(each.expanded_u_kg_m3 for each in readings)


def _balances(spaces: Sequence[Space], units: Units) -> list[dict[str, Any]]:
    """Densities by mass balance: each figure once, with the bays or spaces that it is printed of."""
    told: dict[str, list[Space]] = {}
    for space in spaces:
        if space["mass_balance"]:
            figures = space["mass_balance"]
            figure = units.density(figures["density_kg_m3"]).number
            told.setdefault(figure, []).append(space)
    whole = len(spaces) == 1
    return [{"figure": figure, "of": "" if whole else _names(same)} for figure, same in told.items()]


def _names(spaces: Sequence[Space]) -> str:
    """The bays of spaces that are their bay's own, else the spaces' own names."""
    if all(len(space["bays"]) == 1 for space in spaces):
        bays = sorted({bay for space in spaces for bay in space["bays"]})
        names = [space["label"].rpartition("/")[2] for space in spaces]
        if len(bays) == len(spaces) and all(name.isdigit() for name in names):
            return runs(bays)
        return ", ".join(names)
    return ", ".join(space["label"].rpartition("/")[2] for space in spaces)


def _samples(space: Space, window: Window, units: Units) -> list[dict[str, Any]]:
    """The samples that count, in the order of their bays; others only where the bay was filled again."""
    ranked = sorted(space["samples"], key=lambda sample: (sample["bay"], sample["superseded"]))
    return [
        {
            "bay": sample["bay"],
            "figure": units.outside(DENSITY, sample["density_kg_m3"], (window[0], window[2])).number,
            "superseded": sample["superseded"],
            "gives_way": sample["feel"] == "gives_way",
            "shape": sample["shape"],
        }
        for sample in ranked
    ]


def _contradicts(space: Space) -> bool:
    error = space["normalised_error"]
    return error is not None and error > 1


def _doubts(known: Sequence[dict[str, Any]]) -> list[Any]:
    """What most of the uncertainty comes from, by space, each once."""
    largest = [each["budget"][0]["name"] for each in known if each["budget"]]
    return [name for place, name in enumerate(largest) if name not in largest[:place]]
