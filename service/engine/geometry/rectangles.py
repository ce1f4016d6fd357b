"""Rectangles in the plane of a cavity, seen from the side it is filled from.

The origin is the cavity's lower left corner; all sizes are in metres. Lengths
under a micrometre are floating-point dust: nobody measures timber that finely.
"""

from collections.abc import Iterable
from typing import NamedTuple

from service.engine.ground.quick import row

DUST_M = 1e-6


class Rectangle(NamedTuple):
    """A rectangle by its edges, in metres from the lower left corner of the cavity.

    A cavity has hundreds of them: a tuple is made several times as fast as a dataclass.
    """

    left_m: float
    right_m: float
    bottom_m: float
    top_m: float

    @property
    def area_m2(self) -> float:
        """Area in m2."""
        return (self.right_m - self.left_m) * (self.top_m - self.bottom_m)

    def common_m(self, other: "Rectangle") -> tuple[float, float]:
        """Breadth and height in metres that both have in common; negative where they stand apart."""
        return (
            min(self.right_m, other.right_m) - max(self.left_m, other.left_m),
            min(self.top_m, other.top_m) - max(self.bottom_m, other.bottom_m),
        )

    def overlaps(self, other: "Rectangle") -> bool:
        """Whether they share an area."""
        return (
            self.left_m + DUST_M < other.right_m
            and other.left_m + DUST_M < self.right_m
            and self.bottom_m + DUST_M < other.top_m
            and other.bottom_m + DUST_M < self.top_m
        )

    def touches(self, other: "Rectangle") -> bool:
        """Whether they share an area or a piece of an edge; a common corner is not enough."""
        left_m, right_m, bottom_m, top_m = self
        left, right, bottom, top = other
        if left_m - right >= DUST_M or left - right_m >= DUST_M:
            return False
        if bottom_m - top >= DUST_M or bottom - top_m >= DUST_M:
            return False
        return max(self.common_m(other)) > DUST_M

    def within(self, other: "Rectangle") -> "Rectangle":
        """What both have in common; they must overlap."""
        return Rectangle(
            left_m=max(self.left_m, other.left_m),
            right_m=min(self.right_m, other.right_m),
            bottom_m=max(self.bottom_m, other.bottom_m),
            top_m=min(self.top_m, other.top_m),
        )

    def without(self, hole: "Rectangle") -> tuple["Rectangle", ...]:
        """What is left beside a hole at full height, and under and over it; at most four pieces."""
        if not self.overlaps(hole):
            return (self,)
        left, right = max(self.left_m, hole.left_m), min(self.right_m, hole.right_m)
        edges = (
            (self.left_m, left, self.bottom_m, self.top_m),
            (left, right, self.bottom_m, hole.bottom_m),
            (left, right, hole.top_m, self.top_m),
            (right, self.right_m, self.bottom_m, self.top_m),
        )
        return tuple(
            [rectangle(each) for each in edges if each[1] - each[0] > DUST_M and each[3] - each[2] > DUST_M]
        )

    def turned(self) -> "Rectangle":
        """The same rectangle with the two directions of the plane exchanged."""
        return Rectangle(left_m=self.bottom_m, right_m=self.top_m, bottom_m=self.left_m, top_m=self.right_m)


rectangle = row(Rectangle)


def without_all(pieces: tuple[Rectangle, ...], holes: Iterable[Rectangle]) -> tuple[Rectangle, ...]:
    """The rectangles that are left of `pieces` once every hole is taken out."""
    for hole in holes:
        left_m, right_m, bottom_m, top_m = hole
        for left, right, bottom, top in pieces:  # as `overlaps` does, hundreds of times in a cavity
            if (
                left_m + DUST_M < right
                and left + DUST_M < right_m
                and bottom_m + DUST_M < top
                and bottom + DUST_M < top_m
            ):
                pieces = tuple([rest for piece in pieces for rest in piece.without(hole)])
                break
    return pieces
