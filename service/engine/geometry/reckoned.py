"""What of a cavity lies in some of its bays, layer by layer: how much of the lengths its volume goes with."""

from collections.abc import Collection, Sequence
from typing import NamedTuple

from service.engine.geometry.lengths import Lengths, Touched
from service.engine.geometry.plane import Plane
from service.engine.survey.cavity import Cavity


class Reckoned(NamedTuple):
    """Some of a cavity's compartments, by their `places` among all.

    `single` where they are one bay between members, whose clear width is `clear_width_m`.
    `parts` are the space's share of each layer's clear area; `touched_m2` says of each of the
    space's compartments what openings touch of it.
    """

    laid_out: Plane
    name: str
    single: bool
    clear_width_m: float
    volume_m3: float
    parts: tuple[float, ...]
    places: frozenset[int]
    touched_m2: tuple[Touched, ...]

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


def reckoned(*, laid_out: Plane, bays: Collection[int]) -> Reckoned:
    """The compartments that lie in these bays; all of them where an opening has no place."""
    balanced, lengths = laid_out.balanced, laid_out.lengths
    places = _places(laid_out, bays)
    within = sorted({bay for place in places for bay in balanced.bays[place]})
    single = len(within) == 1 and any(each.members for each in lengths)
    left_m, right_m = laid_out.layout.bays_m[within[0] - 1]
    return Reckoned(
        laid_out,
        str(within[0]) if single else f"{within[0]}-{within[-1]}",
        single,
        right_m - left_m,
        sum([balanced.filled_m3[place] for place in places]),
        _parts(lengths, [balanced.clear_m2[place] for place in places]),
        frozenset(places),
        tuple([balanced.touched_m2[place] for place in places]),
    )


def _places(laid_out: Plane, bays: Collection[int]) -> Sequence[int]:
    bays_of, in_bay = laid_out.balanced.bays, laid_out.balanced.in_bay
    wanted = set(bays)
    if len(wanted) == len(laid_out.layout.bays_m):  # all of them
        return range(len(bays_of))
    near = sorted({place for bay in wanted for place in in_bay.get(bay, ())})
    return [at for at in near if wanted.issuperset(bays_of[at])] or range(len(bays_of))


def _parts(lengths: tuple[Lengths, ...], clear_m2: Sequence[Sequence[float]]) -> tuple[float, ...]:
    layers = clear_m2[0] if len(clear_m2) == 1 else map(sum, zip(*clear_m2, strict=True))
    return tuple([clear / each.area.clear_m2 for clear, each in zip(layers, lengths, strict=True)])
