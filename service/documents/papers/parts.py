"""A building's parts as documents print them: each cavity with what was worked out for it."""

from typing import Any

from service.documents.drawings.strip import Window

Part = dict[str, Any]


def parts(facts: dict[str, Any]) -> list[Part]:
    """The cavities of a takeoff, each with its plan, its insulated area and its density window."""
    planned = {each["label"]: each for each in facts["takeoff"]["cavities"]}
    return [
        {
            "place": place,
            "cavity": cavity,
            "planned": planned[cavity["label"]],
            "thermal": planned[cavity["label"]]["thermal"],
            "depth_mm": planned[cavity["label"]]["geometry"]["depth_mm"],
            "area_m2": planned[cavity["label"]]["geometry"]["net_area_m2"],
            "window": window(planned[cavity["label"]]["density"]),
        }
        for place, cavity in enumerate(facts["cavities"], start=1)
    ]


def window(density: dict[str, Any] | None) -> Window | None:
    """Lowest, target and highest density in kg/m3 of a plan's; None for an open blow."""
    if density is None:
        return None
    low, target, high = (density[f"{name}_kg_m3"]["value"] for name in ("lowest", "target", "highest"))
    return low, target, high
