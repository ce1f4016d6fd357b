"""What of a cavity is balanced as one: its compartments by their numbers, before anything is displaced."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain
from operator import mul

from service.engine.geometry.connections import parted
from service.engine.geometry.layout import Layout
from service.engine.geometry.lengths import Lengths, Touched, touched_m2
from service.engine.geometry.sheets import Sheet, Space, Touch
from service.engine.ground.quick import quick


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Balanced:
    """Compartments one by one: their bays, their clear area in each layer, and what is clear in them.

    `filled_m3` is the volume before anything is displaced; `touched_m2` what each opening
    touches of it. `in_bay` says which of them lie in a bay, `apart` which bays are closed off
    from others, although they may be balanced together.
    """

    bays: tuple[tuple[int, ...], ...]
    clear_m2: tuple[tuple[float, ...], ...]
    filled_m3: tuple[float, ...]
    touched_m2: tuple[Touched, ...]
    in_bay: Mapping[int, Sequence[int]]
    apart: tuple[tuple[int, ...], ...]


def as_one(
    *, layout: Layout, stack: list[Sheet], clear_m2: tuple[float, ...], lengths: tuple[Lengths, ...]
) -> Balanced:
    """All of a cavity that is one space; `clear_m2` are its layers' clear areas."""
    layers = [(sheet.layer, sheet) for sheet in stack if sheet.layer is not None]
    bays = tuple([bay for bay, _ in layers[layout.working][1].columns if bay])
    touching = [
        (layer, touches)
        for layer, sheet in layers
        for _, pieces in sheet.columns
        for _, _, _, touches in pieces
        if touches
    ]
    return _balanced(layout, lengths, [(tuple(dict.fromkeys(bays)), clear_m2, touching)], None)


def in_one_layer(*, layout: Layout, sheet: Sheet, lengths: tuple[Lengths, ...]) -> Balanced:
    """A single layer: each clear rectangle by itself, and apart what an opening or the edge parts of it."""
    rows: list[_Row] = []
    for column in sheet.columns:
        bay, pieces = column
        assert bay
        if len(pieces) == 1:
            ((_, area_m2, _, touches),) = pieces
            rows.append(((bay,), (area_m2,), [(0, touches)] if touches else []))
        else:
            groups = parted(cell=sheet.cell(column), layout=layout)
            rows += [_row(group, 1) for group in sorted(groups, key=_place)]
    return _balanced(layout, lengths, rows, None)


def by_groups(*, layout: Layout, groups: list[list[Space]], lengths: tuple[Lengths, ...]) -> Balanced:
    """Each group of spaces by itself; all are one where nobody knows which an opening takes its room from."""
    groups = sorted(groups, key=_place) if len(groups) > 1 else groups
    apart = None
    if layout.cavity.unplaced and groups:
        apart = tuple([_bays(group) for group in groups])
        groups = [list(chain.from_iterable(groups))]
    rows = [_row(group, len(lengths)) for group in groups]
    return _balanced(layout, lengths, rows, apart)


_Row = tuple[tuple[int, ...], tuple[float, ...], list[tuple[int, tuple[Touch, ...]]]]


def _balanced(
    layout: Layout, lengths: tuple[Lengths, ...], rows: list[_Row], apart: tuple[tuple[int, ...], ...] | None
) -> Balanced:
    kept_m, openings = [each.kept_m for each in lengths], layout.cavity.openings
    bays = tuple([row[0] for row in rows])
    in_bay: dict[int, list[int]] = {}
    for place, of in enumerate(bays):
        for bay in of:
            in_bay.setdefault(bay, []).append(place)
    return Balanced(
        bays=bays,
        clear_m2=tuple([row[1] for row in rows]),
        filled_m3=tuple([sum(map(mul, kept_m, row[1])) for row in rows]),
        touched_m2=tuple(
            [touched_m2(openings=openings, kept_m=kept_m, touching=row[2]) if row[2] else () for row in rows]
        ),
        in_bay=in_bay,
        apart=apart or bays,
    )


def _row(group: list[Space], layers: int) -> _Row:
    return _bays(group), _clear_m2(group, layers), _touching(group)


def _bays(group: list[Space]) -> tuple[int, ...]:
    """The numbers of the bays that some of these spaces lie in."""
    return tuple(sorted({space.bay for space in group if space.bay}))


def _clear_m2(group: list[Space], layers: int) -> tuple[float, ...]:
    clear_m2 = [0.0] * layers
    for space in group:
        if space.layer is not None:
            clear_m2[space.layer] += space.area_m2
    return tuple(clear_m2)


def _touching(group: list[Space]) -> list[tuple[int, tuple[Touch, ...]]]:
    return [(space.layer, space.touches) for space in group if space.touches and space.layer is not None]


def _place(group: list[Space]) -> tuple[float, ...]:
    """By bay and from the bottom up."""
    places = [(space.bay, space.area[2], space.area[0]) for space in group if space.bay]
    return tuple(map(min, zip(*places, strict=True)))
