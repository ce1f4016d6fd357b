"""A cavity as it was found on the site, where that is otherwise than it was surveyed."""

from math import fsum
from statistics import fmean

from service.engine.site.entries import Found
from service.engine.site.planned import Planned


def found_depth_mm(*, planned: Planned, found: tuple[Found, ...]) -> float | None:
    """The total depth by all readings in the cavity, in mm; None where nobody measured it."""
    total_mm = [depth for each in found if each.layer is None for depth in each.depth_mm]
    if total_mm:
        return fmean(total_mm)
    layers = [layer.depth_mm for layer in planned.cavity.layers]
    by_layer: dict[int, list[float]] = {}
    for each in found:
        if each.layer is not None and each.depth_mm:
            by_layer.setdefault(each.layer, []).extend(each.depth_mm)
    if not by_layer:
        return None
    return fsum(fmean(by_layer.get(place, [depth])) for place, depth in enumerate(layers, start=1))
