"""What of a cavity lies in some of its bays, layer by layer: how much of the lengths its volume goes with."""

from collections.abc import Collection, Sequence
from typing import NamedTuple

from service.engine.geometry.lengths import Lengths, Touched
from service.engine.geometry.plane import Plane
from service.engine.ground.quick import row
from service.engine.survey.cavity import Cavity


class Reckoned(NamedTuple):
    """Some of a cavity's compartments: those `at` these places among all, and the bays `within` them.

    `single` where they are one bay between members, whose clear width is `clear_width_m`.
    `parts` are the space's share of each layer's clear area; `touched_m2` says of each of the
    space's compartments what openings touch of it.
    """

    laid_out: Plane
    at: Sequence[int]
    within: Sequence[int]
    single: bool
    clear_width_m: float
    volume_m3: float
    parts: tuple[float, ...]
    touched_m2: tuple[Touched, ...]

    @property
    def name(self) -> str:
        """The space by its bay, or by the first and the last of several."""
        return str(self.within[0]) if self.single else f"{self.within[0]}-{self.within[-1]}"

    @property
    def places(self) -> frozenset[int]:
        """The compartments by their places among all."""
        return frozenset(self.at)

    @property
    def upright(self) -> Cavity:
        """The cavity with its bays along the span."""
        return self.laid_out.layout.cavity

    @property
    def turned(self) -> bool:
        """Whether width and span of the surveyed cavity have changed places."""
        return self.laid_out.layout.cavity is not self.laid_out.cavity

    @property
    def lengths(self) -> tuple[Lengths, ...]:
        """The cavity's, layer by layer."""
        return self.laid_out.lengths


_reckoned = row(Reckoned)


def reckoned(*, laid_out: Plane, bays: Collection[int]) -> Reckoned:
    """The compartments that lie in these bays; all of them where an opening has no place."""
    balanced, lengths = laid_out.balanced, laid_out.lengths
    at = _places(laid_out, bays)
    within: Sequence[int]
    if len(at) == 1:
        within, layers, volume_m3 = balanced.bays[at[0]], balanced.clear_m2[at[0]], balanced.filled_m3[at[0]]
    else:
        within = sorted({bay for place in at for bay in balanced.bays[place]})
        layers = tuple(map(sum, zip(*[balanced.clear_m2[place] for place in at], strict=True)))
        volume_m3 = sum([balanced.filled_m3[place] for place in at])
    single = len(within) == 1 and any(each.members for each in lengths)
    left_m, right_m = laid_out.layout.bays_m[within[0] - 1]
    parts = tuple([clear / each.area.clear_m2 for clear, each in zip(layers, lengths, strict=True)])
    touched_m2 = tuple([balanced.touched_m2[place] for place in at])
    return _reckoned((laid_out, at, within, single, right_m - left_m, volume_m3, parts, touched_m2))


def _places(laid_out: Plane, bays: Collection[int]) -> Sequence[int]:
    bays_of, in_bay = laid_out.balanced.bays, laid_out.balanced.in_bay
    wanted = set(bays)
    if len(wanted) == len(laid_out.layout.bays_m):  # all of them
        return range(len(bays_of))
    near = sorted({place for bay in wanted for place in in_bay.get(bay, ())})
    return [place for place in near if wanted.issuperset(bays_of[place])] or range(len(bays_of))
