"""The spaces in which blown fill can move, and the clear parts of the bays.

A compartment is the unit of mass balance: no density is claimed for one bay of a
shared one from the kilograms blown into it, because fill spills from bay to bay, or
because nobody knows which bay an opening takes its room from.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain

from service.engine.geometry.connections import Space, connected_spaces
from service.engine.geometry.geometry import Geometry
from service.engine.geometry.layout import clear_parts, is_turned, upright
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing
from service.engine.survey.cavity import Cavity

COMPARTMENT_VOLUME = Formula(
    code="compartment_volume",
    name="Net volume of a compartment",
    expression=(
        "net_volume_m3/count x sum over layers of depth x clear area of the layer x share of it in the "
        "compartment/the same sum over all compartments"
    ),
    source=(
        "bays by their own clear areas; pipes, which have no place, in proportion; where an opening has no "
        "place, only the whole cavity has a known volume"
    ),
    standing=Standing.DERIVED,
)


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

    label: str
    bays: tuple[int, ...]
    net_volume_m3: float
    shared: bool
    spills: tuple[tuple[int, ...], ...]

    @property
    def open_throughout(self) -> bool:
        """Whether fill moves between all its bays, so that it packs as one."""
        return self.spills == (self.bays,)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A clear part of a bay: `bay` and `index` count from 1, edges from the cavity's lower left corner.

    In a cavity whose members all run across, bays are numbered from the bottom and
    their parts from the left.
    """

    bay: int
    index: int
    bottom_m: float
    top_m: float
    left_m: float
    right_m: float


def compartments(*, cavity: Cavity, geometry: Geometry) -> tuple[Compartment, ...]:
    """The compartments of one of the identical cavities, by bay and from the bottom up.

    Leaves that stand face to face are connected wherever bays of one open to bays of
    the other; an open layer or crossing members connect all bays, unless dividers
    close them at each member; an opening that has a place and goes from plate to
    plate separates what lies on either side of it. Where an opening has no place the
    cavity is one compartment, whether its bays are connected or not: the volume of
    none of them is known. Volumes add up to `net_volume_m3 / count`
    (COMPARTMENT_VOLUME). `geometry` must be of this cavity.
    """
    groups = sorted(connected_spaces(cavity=upright(cavity=cavity)), key=_place)
    together = [groups] if cavity.unplaced else [[group] for group in groups]
    balanced = [tuple(chain.from_iterable(each)) for each in together]
    bays = [_bays(spaces) for spaces in balanced]
    rows = zip(
        _labels(cavity.label, bays), bays, _volumes_m3(cavity, geometry, balanced), together, strict=True
    )
    return tuple(
        Compartment(
            label=label,
            bays=numbers,
            net_volume_m3=volume_m3,
            shared=len(numbers) > 1,
            spills=tuple(dict.fromkeys(of for of in map(_bays, connected) if len(of) > 1)),
        )
        for label, numbers, volume_m3, connected in rows
    )


def parts(*, cavity: Cavity) -> tuple[Part, ...]:
    """The clear parts of every bay of the innermost framed layer, by bay and from the bottom up.

    A bay ends at its plates and is cut by rows of blocking that go through the full
    depth. An opening that has a place, with its trim, leaves a part under it and a
    part over it in each bay that it crosses, and a part of full height beside it
    where it ends within a bay. A bay that an opening fills has no part.

    `cavity` must be one that `geometry` accepts.
    """
    turned = is_turned(cavity=cavity)
    return tuple(
        Part(
            bay=bay,
            index=index,
            bottom_m=area.left_m if turned else area.bottom_m,
            top_m=area.right_m if turned else area.top_m,
            left_m=area.bottom_m if turned else area.left_m,
            right_m=area.top_m if turned else area.right_m,
        )
        for bay, areas in enumerate(clear_parts(cavity=upright(cavity=cavity)), start=1)
        for index, area in enumerate(areas, start=1)
    )


def _bays(spaces: Iterable[Space]) -> tuple[int, ...]:
    return tuple(sorted({space.bay for space in spaces if space.bay}))


def _place(group: tuple[Space, ...]) -> tuple[float, ...]:
    inside = [space for space in group if space.bay]
    return (
        min(space.bay for space in inside if space.bay),
        min(space.area.bottom_m for space in inside),
        min(space.area.left_m for space in inside),
    )


def _volumes_m3(cavity: Cavity, geometry: Geometry, groups: list[tuple[Space, ...]]) -> list[float]:
    rough = [0.0] * len(groups)
    for index, layer in enumerate(geometry.layers):
        areas_m2 = _areas_m2(groups, index)
        clear_m2 = sum(areas_m2)
        for number, area_m2 in enumerate(areas_m2):
            if area_m2:
                rough[number] += layer.depth_mm * layer.net_area_m2 * area_m2 / clear_m2
    scale = geometry.net_volume_m3 / cavity.count / sum(rough)
    return [share * scale for share in rough]


def _areas_m2(groups: list[tuple[Space, ...]], index: int) -> list[float]:
    return [sum(space.area.area_m2 for space in group if space.layer == index) for group in groups]


def _labels(cavity: str, bays: list[tuple[int, ...]]) -> Iterable[str]:
    if len(bays) == 1:
        return [cavity]
    ranges = [f"{each[0]}-{each[-1]}" if len(each) > 1 else f"{each[0]}" for each in bays]
    several, seen = Counter(ranges), Counter[str]()
    labels = []
    for each in ranges:
        seen[each] += 1
        labels.append(f"{cavity}/{each}" + (f".{seen[each]}" if several[each] > 1 else ""))
    return labels
