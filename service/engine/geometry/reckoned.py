"""What of a cavity lies in some of its bays, layer by layer: how much of the lengths its volume goes with."""

from collections.abc import Collection, Sequence
from typing import NamedTuple

from service.engine.geometry.lengths import Lengths, Touched
from service.engine.geometry.plane import Plane
from service.engine.survey.cavity import Cavity, Displaced


class Reckoned(NamedTuple):
    """Some of a cavity's compartments, by their `places` among all.

    `single` where they are one bay between members, whose clear width is `clear_width_m`.
    `lengths` are the cavity's, layer by layer, and `parts` the space's share of each layer's
    clear area. `filled_m3` and `bays_of` are of every compartment of the cavity, before
    anything is displaced; `touched_m2` says of each of the space's own what openings touch of it.
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
    touched_m2: tuple[Touched, ...]

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
    bays_of, filled = balanced.bays, balanced.filled_m3
    places = _places(laid_out, bays)
    within = sorted({bay for place in places for bay in bays_of[place]})
    single = len(within) == 1 and any(each.members for each in laid_out.lengths)
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
        parts=_parts(laid_out.lengths, [balanced.clear_m2[place] for place in places]),
        places=frozenset(places),
        filled_m3=filled,
        bays_of=bays_of,
        touched_m2=tuple([balanced.touched_m2[place] for place in places]),
    )


def _places(laid_out: Plane, bays: Collection[int]) -> Sequence[int]:
    balanced = laid_out.balanced
    wanted = frozenset(bays)
    if len(wanted) == len(laid_out.bays_m):  # all of them
        return range(len(balanced.bays))
    near = sorted({place for bay in wanted for place in balanced.in_bay.get(bay, ())})
    return [at for at in near if wanted.issuperset(balanced.bays[at])] or range(len(balanced.bays))


def _parts(lengths: tuple[Lengths, ...], clear_m2: Sequence[Sequence[float]]) -> tuple[float, ...]:
    layers = zip(*clear_m2, strict=True)
    return tuple([sum(clear) / each.area.clear_m2 for clear, each in zip(layers, lengths, strict=True)])
