"""Cavities that are one space at a glance: fill moves through an open layer to all that stands beside it.

It is how most walls with twin studs are. Of others it is looked at which of their spaces
touch and overlap (`connections`), which comes to the same of these and takes longer.
"""

from itertools import pairwise

from service.engine.geometry.layout import Layout
from service.engine.geometry.rectangles import Rectangle
from service.engine.geometry.sheets import Sheet

PLAIN_M = 1e-3  # what is smaller than a millimetre is looked at more closely


def is_one_space(*, layout: Layout, stack: list[Sheet]) -> bool:
    """Whether all spaces of an upright cavity are certainly one; False where that takes a closer look.

    `stack` is what `sheets` makes of the cavity. Of neighbouring layers one is open and in one
    piece, and all spaces of the other open to it, as its holes are no larger than theirs.
    """
    cavity = layout.cavity
    opened = [sheet.kind.framing is None for sheet in stack]
    if layout.edge or cavity.dividers or len(layout.lengths_m) > 1 or not any(opened):
        return False
    if not all(one or other for one, other in pairwise(opened)):
        return False
    if any(opening.reveal_mm > opening.trim_mm for opening in cavity.openings):
        return False
    band_m = layout.tied_m, cavity.span_m - layout.tied_m
    kinds = {id(sheet.columns): sheet for sheet in stack}.values()  # of some layers they are the same
    return any(sheet.counted and sheet.columns for sheet in stack) and all(
        _opens(sheet, band_m) if sheet.kind.framing else _in_one_piece(sheet, cavity.width_m, band_m)
        for sheet in kinds
    )


def _opens(sheet: Sheet, band_m: tuple[float, float]) -> bool:
    """Whether all spaces of a framed layer lie plainly in the height that an open one is a way in."""
    low_m, high_m = band_m[0] + PLAIN_M, band_m[1] - PLAIN_M
    for _, pieces in sheet.columns:
        for _, _, way, _ in pieces:
            if way is None:
                return False
            left_m, right_m, bottom_m, top_m = way
            if right_m - left_m <= PLAIN_M or top_m - bottom_m <= PLAIN_M:
                return False
            if top_m <= low_m or bottom_m >= high_m:
                return False
    return low_m < high_m


def _in_one_piece(sheet: Sheet, width_m: float, band_m: tuple[float, float]) -> bool:
    """Whether holes stand apart in an open layer, with a way over or under each of them."""
    holes = sorted(sheet.kind.holes)
    lefts_m, rights_m = [hole.left_m for hole in holes], [hole.right_m for hole in holes]
    between_m = zip([0.0, *rights_m], [*lefts_m, width_m], strict=True)
    return (
        all(right - left > PLAIN_M for left, right in between_m)
        and all(_is_passed(hole, band_m) for hole in holes)
        and all(way for _, pieces in sheet.columns for _, _, way, _ in pieces)
    )


def _is_passed(hole: Rectangle, band_m: tuple[float, float]) -> bool:
    gaps_m = hole.bottom_m - band_m[0], band_m[1] - hole.top_m
    return max(gaps_m) > PLAIN_M and not any(0 < gap <= PLAIN_M for gap in gaps_m)
