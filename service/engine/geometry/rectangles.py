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
        left_m, right_m, bottom_m, top_m = self
        left, right, bottom, top = other
        return min(right_m, right) - max(left_m, left), min(top_m, top) - max(bottom_m, bottom)

    def overlaps(self, other: "Rectangle") -> bool:
        """Whether they share an area."""
        left_m, right_m, bottom_m, top_m = self
        left, right, bottom, top = other
        return (
            left_m + DUST_M < right
            and left + DUST_M < right_m
            and bottom_m + DUST_M < top
            and bottom + DUST_M < top_m
        )

    def touches(self, other: "Rectangle") -> bool:
        """Whether they share an area or a piece of an edge; a common corner is not enough."""
        left_m, right_m, bottom_m, top_m = self
        left, right, bottom, top = other
        if left_m - right >= DUST_M or left - right_m >= DUST_M:
            return False
        if bottom_m - top >= DUST_M or bottom - top_m >= DUST_M:
            return False
        abreast_m, upright_m = self.common_m(other)
        return abreast_m > DUST_M or upright_m > DUST_M

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
        left_m, right_m, bottom_m, top_m = self
        left, right, bottom, top = hole
        left, right = max(left_m, left), min(right_m, right)
        edges = (
            (left_m, left, bottom_m, top_m),
            (left, right, bottom_m, bottom),
            (left, right, top, top_m),
            (right, right_m, bottom_m, top_m),
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
