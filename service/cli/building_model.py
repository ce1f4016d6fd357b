"""A building model (IFC, ISO 16739-1) read to parts as they are told for an estimate.

It is a stranger's file, and a library in C++ reads it: in a process of its own, held to time and memory.
Nothing is guessed: an element without a layer that is said to be insulation, or without an area, is named.
"""

import json
import resource
import subprocess
import sys
from collections.abc import Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from service.errors import Fault, InvalidInput

MOST_S, MOST_MIB = 120, 3072
MOST_BYTES = 500 * 2**20
CATEGORIES = ("insulation", "thermal insulation")
"""What IfcMaterialLayer.Category calls the layers that are blown (words of ISO 16739-1, from memory)."""
SLABS = {"FLOOR": "floor", "ROOF": "roof_slope"}
AREAS = {
    "IfcWall": ("Qto_WallBaseQuantities", "NetSideArea"),
    "IfcSlab": ("Qto_SlabBaseQuantities", "NetArea"),
}


def read(path: Path, categories: Sequence[str] = CATEGORIES) -> dict[str, Any]:
    """`parts` and `unread` of a model; raises InvalidInput for one that is none, or beyond the limits."""
    if find_spec("ifcopenshell") is None:
        raise InvalidInput(Fault(path.name, "Building models are read with the extra: baywright[ifc]."))
    if path.stat().st_size > MOST_BYTES:
        raise InvalidInput(Fault(path.name, f"It has more than {MOST_BYTES // 2**20} MiB."))
    command = [sys.executable, "-m", "service.cli.building_model", str(path), *categories]
    try:
        ran = subprocess.run(  # noqa: S603 (this very module)
            command, capture_output=True, timeout=MOST_S, preexec_fn=_limit, check=False, text=True
        )
    except subprocess.TimeoutExpired:
        raise InvalidInput(Fault(path.name, f"It was not read within {MOST_S} s.")) from None
    if ran.returncode:
        why = (ran.stderr.strip().splitlines() or ["the reader ended"])[-1]
        raise InvalidInput(Fault(path.name, f"It cannot be read as a building model: {why}"))
    found: dict[str, Any] = json.loads(ran.stdout)
    return found


def _limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MIB * 2**20, MOST_MIB * 2**20))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_S, MOST_S))


def found_in(path: str, categories: Sequence[str]) -> dict[str, Any]:
    """The same in this process, without any limit."""
    import ifcopenshell

    model = ifcopenshell.open(path)
    blown = {each.casefold() for each in categories}
    parts: list[dict[str, Any]] = []
    unread: list[dict[str, str]] = []
    for element in (*model.by_type("IfcWall"), *model.by_type("IfcSlab"), *model.by_type("IfcRoof")):
        told = _told(model, element, blown)
        (unread if "why" in told else parts).append({"label": _label(element), **told})
    return {"parts": list(_named_once(parts)), "unread": unread}


def _told(model: Any, element: Any, blown: set[str]) -> dict[str, Any]:
    kind = "wall" if element.is_a("IfcWall") else SLABS.get(getattr(element, "PredefinedType", None) or "")
    if element.is_a("IfcRoof"):
        return {} if element.IsDecomposedBy else {"why": "a roof without slabs"}
    if kind is None:
        return {"why": "a slab that is said to be neither a floor nor a roof"}
    depth_mm, area_m2 = _depth_mm(model, element, blown), _area_m2(model, element)
    if not depth_mm:
        return {"why": "no layer of it is said to be insulation"}
    if area_m2 is None:
        return {"why": "its area is neither given nor that of a body that can be measured"}
    return {"element": kind, "area_m2": area_m2, "depth_mm": depth_mm}


def _depth_mm(model: Any, element: Any, blown: set[str]) -> float:
    from ifcopenshell.util.element import get_material
    from ifcopenshell.util.unit import calculate_unit_scale

    layers = getattr(get_material(element, should_skip_usage=True), "MaterialLayers", None) or ()
    thick = (each.LayerThickness for each in layers if (each.Category or "").casefold() in blown)
    depth: float = sum(thick) * calculate_unit_scale(model) * 1000
    return round(depth, 3)


def _area_m2(model: Any, element: Any) -> float | None:
    """Net area as it is given, else of the body: a wall's side, what a floor covers; of a roof none."""
    from ifcopenshell.util.element import get_psets
    from ifcopenshell.util.unit import calculate_unit_scale

    of, name = AREAS["IfcWall" if element.is_a("IfcWall") else "IfcSlab"]
    given = get_psets(element, qtos_only=True).get(of, {}).get(name)
    if given:
        return float(given * calculate_unit_scale(model, "AREAUNIT"))
    if getattr(element, "PredefinedType", None) == "ROOF" or element.Representation is None:
        return None
    return _measured_m2(element)


def _measured_m2(element: Any) -> float | None:
    from ifcopenshell import geom
    from ifcopenshell.util.shape import get_footprint_area, get_side_area

    measuring: Any = geom
    try:
        body = measuring.create_shape(measuring.settings(), element).geometry
    except RuntimeError:
        return None
    area = get_side_area(body) if element.is_a("IfcWall") else get_footprint_area(body)
    return round(float(area), 4) or None


def _label(element: Any) -> str:
    return str(element.Name or element.GlobalId)[:60]


def _named_once(parts: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """The parts that say something, those of one name numbered."""
    seen: dict[str, int] = {}
    for part in parts:
        if "element" in part:
            seen[part["label"]] = many = seen.get(part["label"], 0) + 1
            yield {**part, "label": part["label"] if many == 1 else f"{part['label']} ({many})"}


if __name__ == "__main__":
    print(json.dumps(found_in(sys.argv[1], sys.argv[2:])))
