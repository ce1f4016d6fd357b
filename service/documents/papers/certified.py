"""A part as a certificate shows it: as it was found and made, else as it was planned."""

from typing import Any

from service.documents.papers import evidence, holes
from service.documents.papers.parts import window
from service.documents.wording.formats import Units

Record = dict[str, Any]


def certified(part: Record, record: Record, units: Units) -> Record:
    """A part with what the page shows besides: thicknesses, bags, density, holes and samples as made."""
    found, label = part["found"], part["cavity"]["label"]
    of_part = next((each for each in record["holes"] if each["cavity"] == label), None)
    shown = part | {
        "readings": evidence.decisive(part),
        "density": evidence.density(part),
        "bags": _bags(found, record["material"]["bag_kg"]),
        "made": holes.made(part, of_part),
        "holes": of_part,
        "sampled": sorted({each["bay"] for space in found["compartments"] for each in space["samples"]}),
        **as_it_is(part, record),
    }
    return shown | {"evidence": evidence.of_part(shown, units)}


def as_it_is(part: Record, record: Record) -> Record:
    """Sizes, window, R and U of a part: as it was found, else as it was planned."""
    planned, found, label = part["planned"], part["found"], part["cavity"]["label"]
    as_found = next((each for each in record["as_found"] if each["cavity"] == label), None)
    return {
        "window": window((as_found and as_found["density"]) or planned["density"]),
        **_thermal(planned, as_found),
        **(
            _open(planned, found, as_found, us=record["market"] == "us")
            if planned["open_blow"]
            else _dense(planned, as_found)
        ),
    }


def _bags(found: Record, bag_kg: float) -> float | None:
    """Bags as counted, else the mass in bags; None where nothing is on record."""
    if found["bags"] is not None or found["mass_kg"] is None:
        counted: float | None = found["bags"]
        return counted
    return float(found["mass_kg"]) / bag_kg


def _thermal(planned: Record, as_found: Record | None) -> Record:
    """Shape, R and U as the part was found, else as it was planned; and the bays that have neither."""
    source = as_found or planned["thermal"]
    return {
        "r_fill": source["r_fill"],
        "u_value_w_m2k": source["u_value_w_m2k"],
        "thermal": (as_found and as_found["thermal"]) or planned["thermal"],
        "depth_mm": (as_found or planned["geometry"])["depth_mm"],
        "as_it_is": as_found and as_found["as_it_is"],
        "apart": as_found["apart"] if as_found else [],
    }


def _dense(planned: Record, as_found: Record | None) -> Record:
    """Fill blown tight keeps the depth of its cavity: as somebody measured it, else as planned."""
    geometry = planned["geometry"]
    depth_mm = (as_found or geometry)["depth_mm"]
    return {
        "area_m2": as_found["net_area_m2"] if as_found else geometry["net_area_m2"],
        "initial_mm": depth_mm,
        "settled_mm": depth_mm,
        "measured": bool(as_found and as_found["depth_measured"]),
    }


def _open(planned: Record, found: Record, as_found: Record | None, *, us: bool) -> Record:
    """An open blow has the thickness that was measured, and settles to no less than was planned.

    Its area is what was covered; in the US market (16 CFR 460.17) without the joists, as charts have it.
    """
    plan, thickness = planned["open_blow"], found["open_blow"]["thickness"]
    covered = as_found or planned["geometry"]
    chart_m2 = covered["net_volume_m3"] / (plan["settled_mm"] / 1000)
    return {
        "area_m2": chart_m2 if us else covered["net_area_m2"],
        "initial_mm": thickness["thickness_mm"] if thickness else None,
        "settled_mm": plan["settled_mm"],
        "measured": thickness is not None,
    }
