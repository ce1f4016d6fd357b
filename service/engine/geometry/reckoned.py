"""What of a cavity lies in some of its bays, layer by layer: how much of the lengths its volume goes with."""

from collections.abc import Collection, Sequence
from typing import NamedTuple

from service.engine.geometry.lengths import Lengths, Touch
from service.engine.geometry.plane import Plane
from service.engine.geometry.sheets import Space
from service.engine.survey.cavity import Cavity, Displaced


class Reckoned(NamedTuple):
    """Some of a cavity's compartments, by their `places` among all.

    `single` where they are one bay between members, whose clear width is `clear_width_m`.
    `lengths` are the cavity's, layer by layer, and `parts` the space's share of each layer's
    clear area. `filled_m3` and `bays_of` are of every compartment of the cavity, before
    anything is displaced; `touched` says of each of the space's own, opening by opening, where
    its spaces lie against them.
    """

    upright: Cavity
    turned: bool
    name: str
    single: bool
    clear_width_m: float
    insulated_m2: float
    volume_m3: float
    lengths: tuple[Lengths, ...]
    parts: tuple[float, ...]
    places: frozenset[int]
    filled_m3: tuple[float, ...]
    bays_of: tuple[tuple[int, ...], ...]
    touched: tuple[tuple[tuple[Touch, ...], ...], ...]

    @property
    def aligned(self) -> bool:
        """Whether members of the framed layers stand opposite one another."""
        return self.upright.leaves_aligned

    @property
    def displaced(self) -> tuple[Displaced, ...]:
        """What takes room from the fill in the whole cavity."""
        return self.upright.displaced


def reckoned(*, laid_out: Plane, bays: Collection[int]) -> Reckoned:
    """The compartments that lie in these bays; all of them where an opening has no place."""
    balanced = laid_out.balanced
    groups, bays_of, filled = balanced.groups, balanced.bays, balanced.filled_m3
    wanted = set(bays)
    places = [place for place, each in enumerate(bays_of) if wanted.issuperset(each)] or range(len(groups))
    within = sorted({bay for place in places for bay in bays_of[place]})
    single = len(within) == 1 and any(map(_has_members, laid_out.lengths))
    left_m, right_m = laid_out.bays_m[within[0] - 1]
    return Reckoned(
        upright=laid_out.upright,
        turned=laid_out.upright is not laid_out.cavity,
        name=str(within[0]) if single else f"{within[0]}-{within[-1]}",
        single=single,
        clear_width_m=right_m - left_m,
        insulated_m2=laid_out.insulated_m2,
        volume_m3=sum([filled[place] for place in places]),
        lengths=laid_out.lengths,
        parts=_parts(laid_out.lengths, [groups[place] for place in places]),
        places=frozenset(places),
        filled_m3=filled,
        bays_of=bays_of,
        touched=tuple([balanced.touched[place] for place in places]),
    )


def _has_members(lengths: Lengths) -> bool:
    return lengths.members > 0


def _parts(lengths: tuple[Lengths, ...], groups: Sequence[Sequence[Space]]) -> tuple[float, ...]:
    clear_m2 = [0.0] * len(lengths)
    for group in groups:
        for space in group:
            if space.layer is not None:
                clear_m2[space.layer] += space.area_m2
    return tuple([clear / each.area.clear_m2 for clear, each in zip(clear_m2, lengths, strict=True)])
