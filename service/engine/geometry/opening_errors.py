"""What the errors of openings do to the volume of a space: their sizes, and places that nobody gave."""

from collections.abc import Iterator
from math import sqrt

from service.engine.geometry.areas import between_plates_height_m
from service.engine.geometry.lengths import past_m
from service.engine.geometry.reckoned import Reckoned
from service.engine.ground.uncertainty import Share, rectangular
from service.engine.ground.vocabulary import Runs
from service.engine.survey.cavity import Opening


def opening_shares(*, space: Reckoned, half_mm: float) -> Iterator[Share]:
    """The shares of all openings; `half_mm` is the half-width of either of their sides.

    Openings of one row are alike, and so are their errors.
    """
    if not any(space.touched_m2) and not space.upright.unplaced:  # they lie elsewhere
        return
    u_m = rectangular(half=half_mm / 1000)
    for index, opening in enumerate(space.upright.openings):
        if opening.is_placed:
            width_m2, height_m2 = _beside(space, index)
        else:
            width_m2, height_m2 = _in_proportion(space, opening)
            yield from _member_cut(space, index, opening)
        yield Share("openings", f"openings {index} width", -width_m2 * u_m)
        yield Share("openings", f"openings {index} height", -height_m2 * u_m)


def _beside(space: Reckoned, index: int) -> tuple[float, float]:
    """The volume that a metre more of its width or its height takes, at its right and at its top."""
    right_m2 = sum([touched[index][0] for touched in space.touched_m2 if touched])
    top_m2 = sum([touched[index][1] for touched in space.touched_m2 if touched])
    return (top_m2, right_m2) if space.turned else (right_m2, top_m2)


def _in_proportion(space: Reckoned, opening: Opening) -> tuple[float, float]:
    """The same of an opening without a place: what it takes between the plates, less timber in proportion."""
    width_m2 = height_m2 = 0.0
    for each in space.lengths:
        framing, between_m2 = each.framing, each.area.between_plates_m2
        beyond_m = past_m(opening=opening, framing=framing)
        timber = (framing and framing.timber_fraction) or 0.0
        left = each.area.clear_m2 / between_m2 if between_m2 else 1 - timber
        tall_m = between_plates_height_m(
            cavity=space.upright, opening=opening, framing=framing, past_m=beyond_m
        )
        width_m2 += each.depth_m * left * opening.count * tall_m
        height_m2 += each.depth_m * left * opening.count * (opening.width_m + 2 * beyond_m)
    return (height_m2, width_m2) if space.turned else (width_m2, height_m2)


def _member_cut(space: Reckoned, index: int, opening: Opening) -> Iterator[Share]:
    """A window moved across the grid cuts one member more or less, over its height, in each framed layer.

    Members that stand opposite one another are cut together, all others each by itself, and so
    is each opening of a row.
    """
    together = dict.fromkeys(Runs, 0.0)
    for place, each in enumerate(space.lengths):
        framing = each.framing
        if framing is None or framing.member_mm is None:
            continue
        along_m = opening.height_m if framing.runs is Runs.ALONG else opening.width_m
        half_m3 = each.depth_m * framing.member_mm / 1000 * min(along_m, each.member_length_m)
        if space.upright.leaves_aligned:
            together[framing.runs] += half_m3
        else:
            yield _cut(f"{index} {place}", half_m3, opening.count)
    for runs, half_m3 in together.items():
        if half_m3:
            yield _cut(f"{index}" if runs is Runs.ALONG else f"{index} {runs}", half_m3, opening.count)


def _cut(of: str, half_m3: float, count: int) -> Share:
    u_m3 = rectangular(half=half_m3) * sqrt(count)
    return Share(name="unplaced openings", of=f"unplaced openings {of}", u=u_m3)
