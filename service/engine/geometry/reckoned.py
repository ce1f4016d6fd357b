"""What of a cavity lies in some of its bays, layer by layer: how much of the lengths its volume goes with."""

from collections.abc import Collection, Sequence
from itertools import pairwise
from typing import NamedTuple

from service.engine.geometry.layout import Layout
from service.engine.geometry.lengths import Lengths, Touched
from service.engine.geometry.plane import Plane
from service.engine.ground.quick import row
from service.engine.survey.cavity import Cavity


class Reckoned(NamedTuple):
    """Some of a cavity's compartments: those `at` these places among all, and the bays `within` them.

    `single` where they are one bay between members, whose clear width is `clear_width_m`.
    `parts` are the space's share of each layer's clear area, `abreast` that of what a layer gains where
    the cavity grows along its members: a bay that an opening or the edge shortens is as broad as
    others. `touched_m2` says of each of the space's compartments what openings touch of it.
    """

    laid_out: Plane
    at: Sequence[int]
    within: Sequence[int]
    single: bool
    clear_width_m: float
    volume_m3: float
    parts: tuple[float, ...]
    abreast: tuple[float, ...]
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
    clear_width_m = right_m - left_m
    parts = tuple([clear / each.area.clear_m2 for clear, each in zip(layers, lengths, strict=True)])
    abreast = _abreast(laid_out, within[0], clear_width_m, parts) if single else parts
    touched_m2 = tuple([balanced.touched_m2[place] for place in at])
    return _reckoned((laid_out, at, within, single, clear_width_m, volume_m3, parts, abreast, touched_m2))


def _abreast(laid_out: Plane, bay: int, clear_width_m: float, parts: tuple[float, ...]) -> tuple[float, ...]:
    """Of a single bay, by its breadth in each layer; where a layer has other members, by its area."""
    layout = laid_out.layout
    found = []
    for part, each in zip(parts, laid_out.lengths, strict=True):
        if not part:
            found.append(0.0)
        elif each.framing is None:
            found.append(_column_m(layout, bay) / layout.cavity.width_m)
        elif each.framing == layout.framing:
            found.append(clear_width_m / each.between_members_m)
        else:
            found.append(part)
    return tuple(found)


def _column_m(layout: Layout, bay: int) -> float:
    """How broad an open layer is in a bay: from divider to divider, or all of it."""
    if not layout.cavity.dividers:
        return layout.cavity.width_m
    edges_m = [0.0, *[(left + right) / 2 for (_, left), (right, _) in pairwise(layout.bays_m)]]
    edges_m.append(layout.cavity.width_m)
    return edges_m[bay] - edges_m[bay - 1]


def _places(laid_out: Plane, bays: Collection[int]) -> Sequence[int]:
    bays_of, in_bay = laid_out.balanced.bays, laid_out.balanced.in_bay
    wanted = set(bays)
    if len(wanted) == len(laid_out.layout.bays_m):  # all of them
        return range(len(bays_of))
    near = sorted({place for bay in wanted for place in in_bay.get(bay, ())})
    return [place for place in near if wanted.issuperset(bays_of[place])] or range(len(bays_of))
