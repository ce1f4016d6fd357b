"""The upper edge of a cavity that is no straight line across: gables, hips, steps.

The edge is made of straight pieces. Whatever lies under it is a rectangle that the edge
cuts at its top, so that areas are integrals of a piecewise linear height, and exact.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from service.engine.geometry.rectangles import DUST_M, Rectangle


class Piece(NamedTuple):
    """A straight piece of the edge, with the heights at both its ends, in metres."""

    left_m: float
    right_m: float
    height_m: float
    end_m: float

    def above(self, level_m: float) -> float:
        """Area in m2 between a level and the piece, as far as that lies above it."""
        breadth, first, last = self.right_m - self.left_m, self.height_m - level_m, self.end_m - level_m
        if first >= 0 and last >= 0:
            return breadth * (first + last) / 2
        if first <= 0 and last <= 0:
            return 0.0
        return breadth * max(first, last) ** 2 / (2 * abs(last - first))

    def rising_over(self, level_m: float) -> tuple[float, float] | None:
        """From where to where the piece lies above a level; None where it never does."""
        first, last = self.height_m - level_m, self.end_m - level_m
        if first <= 0 and last <= 0:
            return None
        meets_m = (
            self.left_m + (self.right_m - self.left_m) * first / (first - last) if first != last else 0.0
        )
        return (self.left_m if first > 0 else meets_m, self.right_m if last > 0 else meets_m)


@dataclass(frozen=True, slots=True)
class Edge:
    """The upper edge by its corners, x and height in metres, from left to right."""

    corners: tuple[tuple[float, float], ...]

    def pieces(self, *, left_m: float, right_m: float, drop_m: float = 0.0) -> Iterator[Piece]:
        """The edge, `drop_m` lower, from left to right; the upright of a step is no piece."""
        for (from_m, height_m), (to_m, end_m) in pairwise(self.corners):
            start, stop = max(from_m, left_m), min(to_m, right_m)
            if stop > start:
                rise = (end_m - height_m) / (to_m - from_m)
                yield Piece(
                    start,
                    stop,
                    height_m + rise * (start - from_m) - drop_m,
                    height_m + rise * (stop - from_m) - drop_m,
                )

    def area_m2(self, box: Rectangle, *, drop_m: float = 0.0) -> float:
        """Area in m2 of the part of a box that lies under the edge, `drop_m` lower."""
        pieces = self.pieces(left_m=box.left_m, right_m=box.right_m, drop_m=drop_m)
        return sum(piece.above(box.bottom_m) - piece.above(box.top_m) for piece in pieces)

    def under(self, box: Rectangle, *, drop_m: float = 0.0) -> tuple[Rectangle, ...]:
        """The boxes round what the edge, `drop_m` lower, leaves of one: one for each part of it."""
        found: list[Rectangle] = []
        before_m = 0.0
        for piece in self.pieces(left_m=box.left_m, right_m=box.right_m, drop_m=drop_m):
            if span := piece.rising_over(box.bottom_m):
                (left, right), top = span, min(box.top_m, max(piece.height_m, piece.end_m))
                # Where both sides of a corner rise over the bottom, what lies left and right of it is one.
                if found and min(before_m, piece.height_m) > box.bottom_m:
                    left, top = found[-1].left_m, max(top, found.pop().top_m)
                found.append(Rectangle(left, right, box.bottom_m, top))
            before_m = piece.end_m
        return tuple(each for each in found if each.right_m - each.left_m > DUST_M)

    def shape(self, box: Rectangle, *, drop_m: float = 0.0) -> tuple[tuple[float, float], ...]:
        """The corners of what lies of a box under the edge, `drop_m` lower; the lower right one first."""
        over: list[tuple[float, float]] = []
        for piece in self.pieces(left_m=box.left_m, right_m=box.right_m, drop_m=drop_m):
            cuts = {piece.left_m, piece.right_m}
            for level_m in (box.bottom_m, box.top_m):
                if (piece.height_m - level_m) * (piece.end_m - level_m) < 0:
                    share = (level_m - piece.height_m) / (piece.end_m - piece.height_m)
                    cuts.add(piece.left_m + share * (piece.right_m - piece.left_m))
            rise = (piece.end_m - piece.height_m) / (piece.right_m - piece.left_m)
            for x_m in sorted(cuts):
                height_m = piece.height_m + rise * (x_m - piece.left_m)
                over.append((x_m, min(box.top_m, max(box.bottom_m, height_m))))
        return ((box.right_m, box.bottom_m), (box.left_m, box.bottom_m), *over)

    def clears(self, *, left_m: float, right_m: float, level_m: float, drop_m: float) -> bool:
        """Whether the edge, `drop_m` lower, leaves a way over a level: somewhere between, or at one line."""
        if right_m - left_m > DUST_M:
            pieces = self.pieces(left_m=left_m, right_m=right_m, drop_m=drop_m)
            return max(max(piece.height_m, piece.end_m) for piece in pieces) > level_m + DUST_M
        return self.lowest_m(left_m=left_m - DUST_M, right_m=right_m + DUST_M) - drop_m > level_m + DUST_M

    def lowest_m(self, *, left_m: float, right_m: float) -> float:
        """The edge's least height between left and right, in metres."""
        pieces = self.pieces(left_m=left_m, right_m=right_m)
        return min(min(piece.height_m, piece.end_m) for piece in pieces)

    @property
    def highest_m(self) -> float:
        """The edge's greatest height, in metres."""
        return max(height_m for _, height_m in self.corners)
