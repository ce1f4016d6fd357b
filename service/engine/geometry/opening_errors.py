"""What the errors of openings do to the volume of a space: their sizes, and places that nobody gave."""

from collections.abc import Iterator
from math import sqrt

from service.engine.geometry.areas import between_plates_height_m
from service.engine.geometry.layout import outline
from service.engine.geometry.reckoned import Extent, Reckoned
from service.engine.geometry.rectangles import DUST_M, Rectangle
from service.engine.ground.uncertainty import Share, rectangular
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Opening


def opening_shares(*, space: Reckoned, half_mm: float) -> Iterator[Share]:
    """The shares of all openings; `half_mm` is the half-width of either of their sides.

    Openings of one row are alike, and so are their errors.
    """
    u_m = rectangular(half=half_mm / 1000)
    for index, opening in enumerate(space.upright.openings):
        if opening.is_placed:
            sides = _beside(space, opening)
        else:
            sides = _in_proportion(space, opening)
            yield from _member_cut(space, index, opening)
        for side, m2 in zip(("width", "height"), sides, strict=True):
            yield Share(name="openings", of=f"openings {index} {side}", u=-m2 * u_m)


def _past_m(opening: Opening, extent: Extent) -> float:
    return (opening.trim_mm if extent.framing else opening.reveal_mm) / 1000


def _beside(space: Reckoned, opening: Opening) -> tuple[float, float]:
    """The volume that a metre more of its width or its height takes, at its right and at its top."""
    right_m2 = top_m2 = 0.0
    rings = [outline(opening=opening, past_m=_past_m(opening, extent)) for extent in space.extents]
    for group in space.groups:
        for each in group:
            if each.layer is not None:
                kept_m = space.extents[each.layer].kept_m
                over_m, beside_m = _touching_m(each.area, rings[each.layer])
                right_m2 += kept_m * beside_m
                top_m2 += kept_m * over_m
    return (top_m2, right_m2) if space.turned else (right_m2, top_m2)


def _touching_m(area: Rectangle, ring: Rectangle) -> tuple[float, float]:
    """How much of a ring's top and of its right side a clear space lies against, in metres."""
    breadth_m, height_m = area.common_m(ring)
    over = abs(area.bottom_m - ring.top_m) <= DUST_M
    beside = abs(area.left_m - ring.right_m) <= DUST_M
    return (max(0.0, breadth_m) if over else 0.0, max(0.0, height_m) if beside else 0.0)


def _in_proportion(space: Reckoned, opening: Opening) -> tuple[float, float]:
    """The same of an opening without a place: what it takes between the plates, less timber in proportion."""
    width_m2 = height_m2 = 0.0
    for extent, (clear_m2, between_m2) in zip(space.extents, space.areas_m2, strict=True):
        past_m, framing = _past_m(opening, extent), extent.framing
        left = clear_m2 / between_m2 if between_m2 else 1 - ((framing and framing.timber_fraction) or 0.0)
        tall_m = between_plates_height_m(
            cavity=space.upright, opening=opening, framing=framing, past_m=past_m
        )
        width_m2 += extent.depth_m * left * opening.count * tall_m
        height_m2 += extent.depth_m * left * opening.count * (opening.width_m + 2 * past_m)
    return (height_m2, width_m2) if space.turned else (width_m2, height_m2)


def _member_cut(space: Reckoned, index: int, opening: Opening) -> Iterator[Share]:
    """A window moved across the grid cuts one member more or less, over its height, in each framed layer.

    Members that stand opposite one another are cut together, all others each by itself, and so
    is each opening of a row.
    """
    together = dict.fromkeys(Runs, 0.0)
    for place, extent in enumerate(space.extents):
        framing = extent.framing
        if framing is None or framing.member_mm is None:
            continue
        along_m = opening.height_m if framing.runs is Runs.ALONG else opening.width_m
        half_m3 = extent.depth_m * framing.member_mm / 1000 * min(along_m, extent.member_length_m)
        if space.aligned:
            together[framing.runs] += half_m3
        else:
            yield _cut(f"{index} {place}", half_m3, opening.count)
    for runs, half_m3 in together.items():
        if half_m3:
            yield _cut(f"{index}" if runs is Runs.ALONG else f"{index} {runs}", half_m3, opening.count)


def _cut(of: str, half_m3: float, count: int) -> Share:
    u_m3 = rectangular(half=half_m3) * sqrt(count)
    return Share(name="unplaced openings", of=f"unplaced openings {of}", u=u_m3)
