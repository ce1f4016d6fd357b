"""The spaces in which blown fill can move, and the clear parts of the bays.

A compartment is the unit of mass balance: no density is claimed for one bay of a
shared one from the kilograms blown into it, because fill spills from bay to bay, or
because nobody knows which bay an opening takes its room from.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, NamedTuple

from service.engine.geometry.layout import Layout, is_turned, layout_of, upright
from service.engine.geometry.plane import Plane, plane
from service.engine.geometry.rectangles import Rectangle, without_all
from service.engine.geometry.sheets import Piece
from service.engine.ground.formula import Formula
from service.engine.ground.messages import message
from service.engine.ground.quick import maker, quick, row
from service.engine.ground.shapes import CubicMetres
from service.engine.ground.vocabulary import Standing
from service.engine.survey.cavity import Cavity
from service.errors import Fault, InvalidInput

COMPARTMENT_VOLUME = Formula(
    code="compartment_volume",
    expression=(
        "sum over layers of depth x clear area of the layer in the compartment - what is displaced in it"
    ),
    source=(
        "plane geometry; what is displaced in no known bay in proportion; where an opening has no place, "
        "only the whole cavity has a known volume"
    ),
    standing=Standing.DERIVED,
)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Compartment:
    """Bays balanced together, numbered from 1; `net_volume_m3` is of one of the identical cavities.

    `label` is the cavity's where the whole cavity is one compartment, else it adds the
    bay or bays and, where several compartments lie in the same bays, a number from
    the bottom up: `W1/3`, `W1/3.2`, `W1/1-6`. `shared`: more than one bay lies in it.
    `spills`: the bays that fill moves between, as groups of several. That is one group
    of all the bays of a shared compartment; only where an opening without a place
    has bays balanced together that are closed off are there several, or none.
    """

    label: Annotated[str, "the cavity, with its bays where it has several compartments"]
    bays: Annotated[tuple[int, ...], "numbers of its bays"]
    net_volume_m3: Annotated[CubicMetres, "volume to be filled of one of the identical cavities"]
    shared: Annotated[bool, "whether it has several bays, which are balanced together"]
    spills: Annotated[
        tuple[tuple[int, ...], ...], "bays that fill moves between, in groups; none where all are closed off"
    ]

    @property
    def open_throughout(self) -> bool:
        """Whether fill moves between all its bays, so that it packs as one."""
        return self.spills == (self.bays,)


_compartment = maker(Compartment)


class Part(NamedTuple):
    """A clear part of a bay: `bay` and `number` count from 1, edges from the cavity's lower left corner.

    In a cavity whose members all run across, bays are numbered from the bottom and
    their parts from the left. Under a profile `top_m` is the highest point of the part,
    and `share` how much of the box from edge to edge lies under the upper edge.
    """

    bay: int
    number: int
    bottom_m: float
    top_m: float
    left_m: float
    right_m: float
    share: float = 1.0

    @property
    def area_m2(self) -> float:
        """Area of the part, in m2."""
        _, _, bottom_m, top_m, left_m, right_m, share = self
        return (right_m - left_m) * (top_m - bottom_m) * share


_part = row(Part)


def compartments(*, cavity: Cavity) -> tuple[Compartment, ...]:
    """What `compartments_of` finds; raises InvalidInput for a cavity that `geometry` refuses, too."""
    return compartments_of(laid_out=plane(cavity=cavity))


def compartments_of(*, laid_out: Plane) -> tuple[Compartment, ...]:
    """The compartments of one of the identical cavities, by bay and from the bottom up.

    Leaves that stand face to face are connected wherever bays of one open to bays of
    the other; an open layer or crossing members connect all bays, unless dividers
    close them at each member; an opening that has a place and goes from plate to
    plate separates what lies on either side of it. Where an opening has no place the
    cavity is one compartment, whether its bays are connected or not: the volume of
    none of them is known. Volumes add up to the cavity's (COMPARTMENT_VOLUME).

    Raises InvalidInput at `/displaced/N/bay` or `/displaced/N/volume_m3`, where there is no
    such bay or it holds less.
    """
    cavity, bays = laid_out.cavity, laid_out.balanced.bays
    apart = dict.fromkeys(laid_out.balanced.apart) if cavity.unplaced else ()
    closed_off = tuple([of for of in apart if len(of) > 1])
    rows = zip(_labels(cavity.label, bays), bays, _volumes_m3(laid_out), strict=True)
    return tuple(
        [
            _compartment(
                label=label,
                bays=numbers,
                net_volume_m3=volume_m3,
                shared=len(numbers) > 1,
                spills=closed_off if apart else (numbers,) if len(numbers) > 1 else (),
            )
            for label, numbers, volume_m3 in rows
        ]
    )


def meeting(*, compartments: Iterable[Compartment]) -> list[tuple[Compartment, ...]]:
    """The compartments in groups that have no bay in common, by their bays.

    A fill names a bay and not a part of it: what meets in a bay is balanced together.
    """
    group_of: dict[int, list[Compartment]] = {}
    for compartment in compartments:
        first, *others = compartment.bays
        group = group_of.setdefault(first, [])
        group.append(compartment)
        for bay in others:
            met = group_of.setdefault(bay, group)
            if met is not group:
                group += met
                group_of.update({each: group for other in met for each in other.bays})
    groups = {id(group): tuple(group) for _, group in sorted(group_of.items())}
    return list(groups.values())


def bays_of(*, compartments: Iterable[Compartment]) -> tuple[int, ...]:
    """The numbers of all their bays, each once."""
    return tuple(sorted({bay for compartment in compartments for bay in compartment.bays}))


def parts(*, cavity: Cavity) -> tuple[Part, ...]:
    """What `parts_of` finds of a cavity that `geometry` accepts."""
    layout = layout_of(cavity=upright(cavity=cavity))
    return _numbered(_cut_bays(layout), turned=is_turned(cavity=cavity), cut=layout.edge is not None)


def parts_of(*, laid_out: Plane) -> tuple[Part, ...]:
    """The clear parts of every bay of the innermost framed layer, by bay and from the bottom up.

    A bay ends at its plates and is cut by rows of blocking that go through the full
    depth. An opening that has a place, with its trim, leaves a part under it and a
    part over it in each bay that it crosses, and a part of full height beside it
    where it ends within a bay. A bay that an opening fills has no part.
    """
    layout, framing = laid_out.layout, laid_out.layout.framing
    as_counted = framing is not None and (layout.blocked or not framing.blocking_rows)
    bays = _counted_bays(laid_out) if as_counted else _cut_bays(layout)
    return _numbered(bays, turned=layout.cavity is not laid_out.cavity, cut=layout.edge is not None)


Bays = Iterable[tuple[int | None, Sequence[Piece]]]


def _counted_bays(laid_out: Plane) -> Bays:
    """Each bay with the clear pieces of its own layer; rows of blocking part them."""
    if len(laid_out.layout.lengths_m) == 1:
        return laid_out.counted
    bays: dict[int | None, list[Piece]] = {}
    for bay, pieces in laid_out.counted:
        bays[bay] = bays.get(bay, []) + pieces
    return bays.items()


def _cut_bays(layout: Layout) -> Bays:
    """Each bay with what openings, blocking through the full depth and the upper edge leave of it."""
    edge, drop_m = layout.edge, layout.tied_m
    for bay, (left_m, right_m) in enumerate(layout.bays_m, start=1):
        column = tuple([Rectangle(left_m, right_m, bottom_m, top_m) for bottom_m, top_m in layout.lengths_m])
        areas: Sequence[Rectangle] = without_all(column, layout.trimmed)
        if edge:
            areas = [under for each in areas for under in edge.under(each, drop_m=drop_m)]
        areas_m2 = [edge.area_m2(area, drop_m=drop_m) if edge else area.area_m2 for area in areas]
        yield bay, [Piece(area, area_m2, area) for area, area_m2 in zip(areas, areas_m2, strict=True)]


def _numbered(bays: Bays, *, turned: bool, cut: bool) -> tuple[Part, ...]:
    """The parts of each bay from below; where a profile has `cut` them each has a share of its box."""
    found = []
    for bay, areas in bays:
        ordered = sorted(areas, key=_from_below) if len(areas) > 1 else areas
        for number, (area, area_m2, _, _) in enumerate(ordered, start=1):
            left, right, bottom, top = area.turned() if turned else area
            share = area_m2 / area.area_m2 if cut else 1.0
            found.append(_part((bay, number, bottom, top, left, right, share)))
    return tuple(found)


def _from_below(piece: Piece) -> tuple[float, float]:
    return piece[0][2], piece[0][0]


def _volumes_m3(laid_out: Plane) -> Sequence[float]:
    filled, bays = laid_out.balanced.filled_m3, laid_out.balanced.bays
    if not laid_out.cavity.displaced:
        return filled
    left = list(filled)
    for index, each in enumerate(laid_out.cavity.displaced):
        taken = taken_from(bay=each.bay, filled=filled, bays=bays)
        if not taken:
            raise InvalidInput(Fault(f"/displaced/{index}/bay", message("geometry.no_such_bay")))
        for place, share in taken.items():
            left[place] -= each.volume_m3 * share
            if left[place] <= 1e-9 * filled[place]:
                raise InvalidInput(Fault(f"/displaced/{index}/volume_m3", message("geometry.displaced_bay")))
    return left


def taken_from(
    *, bay: int | None, filled: Sequence[float], bays: Sequence[tuple[int, ...]]
) -> dict[int, float]:
    """The share of a displaced volume in each compartment: those of its bay, or all, in proportion.

    `filled` are the compartments' volumes before anything is displaced, `bays` theirs.
    """
    of = {place: m3 for place, m3 in enumerate(filled) if bay is None or bay in bays[place]}
    whole = sum(of.values())
    return {place: m3 / whole for place, m3 in of.items()}


def _labels(cavity: str, bays: Sequence[tuple[int, ...]]) -> Iterable[str]:
    if len(bays) == 1:
        return [cavity]
    ranges = [f"{each[0]}-{each[-1]}" if len(each) > 1 else str(each[0]) for each in bays]
    if len(set(ranges)) == len(ranges):
        return [f"{cavity}/{each}" for each in ranges]
    several, seen = Counter(ranges), dict[str, int]()
    labels = []
    for each in ranges:
        if several[each] == 1:
            labels.append(f"{cavity}/{each}")
        else:
            seen[each] = seen.get(each, 0) + 1
            labels.append(f"{cavity}/{each}.{seen[each]}")
    return labels
