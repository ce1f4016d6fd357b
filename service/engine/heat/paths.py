"""Paths that heat takes through framed layers, and the two limits that they set."""

from itertools import pairwise, product
from typing import NamedTuple

from service.engine.ground.formula import Formula
from service.engine.ground.quick import row
from service.engine.ground.vocabulary import Runs, Standing

UPPER_LIMIT = Formula(
    code="upper_limit",
    expression="1/sum(area/(resistance_m2k_w + others_m2k_w)), over every path through all layers",
    source="ISO 6946, as set out in the Scottish building standards' worked examples 6.B",
    standing=Standing.PUBLISHED,
)

LOWER_LIMIT = Formula(
    code="lower_limit",
    expression=(
        "others_m2k_w + sum(1/(timber_fraction/timber_m2k_w + (1 - timber_fraction)/fill_m2k_w)), "
        "over the cavity's layers"
    ),
    source="ISO 6946, as set out in the Scottish building standards' worked examples 6.B",
    standing=Standing.PUBLISHED,
)


class Leaf(NamedTuple):
    """A layer of the cavity as heat meets it: fill and timber side by side.

    `fill` and `timber` are resistances in m2K/W over the layer's depth;
    `timber_fraction` (0 to 1) is the timber's share of the area.
    """

    fill: float
    timber: float
    timber_fraction: float
    runs: Runs


_DIRECTIONS = tuple(Runs)


class Path(NamedTuple):
    """One way through: its share of the area (0 to 1) and its resistance in m2K/W."""

    area: float
    resistance: float


_path = row(Path)


def whole_paths(
    *, leaves: tuple[Leaf, ...], aligned: bool, bridged: tuple[Leaf, ...] = ()
) -> tuple[Path, ...]:
    """Every way through all leaves, and through the `bridged` layers beside them; the areas add up to 1.

    Aligned members stand opposite one another, the narrower wholly behind the wider.
    Otherwise, and always where members cross, each leaf is independent of the others
    and areas multiply, as they do with bridged layers.
    """
    groups: list[tuple[Leaf, ...]] = [(leaf,) for leaf in leaves]
    if aligned:
        groups = [tuple([leaf for leaf in leaves if leaf.runs is runs]) for runs in _DIRECTIONS]
    whole = [Path(area=1.0, resistance=0.0)]
    for group in (*groups, *((leaf,) for leaf in bridged)):
        if group:
            whole = [_behind(path, other) for path, other in product(whole, _opposite(group))]
    return tuple(whole)


def upper_limit(*, paths: tuple[Path, ...], others: float) -> float:
    """Resistance in m2K/W if heat never left its path (UPPER_LIMIT); `others` all paths share."""
    return 1 / sum([area / (resistance + others) for area, resistance in paths])


def lower_limit(*, leaves: tuple[Leaf, ...], others: float) -> float:
    """Resistance in m2K/W if heat evened out in each plane between layers (LOWER_LIMIT)."""
    return others + sum([1 / (share / timber + (1 - share) / fill) for fill, timber, share, _ in leaves])


def _opposite(group: tuple[Leaf, ...]) -> tuple[Path, ...]:
    edges = sorted({0.0, 1.0, *[leaf.timber_fraction for leaf in group]})
    return tuple(
        [
            _path(
                (
                    right - left,
                    sum([timber if left < fraction else fill for fill, timber, fraction, _ in group]),
                )
            )
            for left, right in pairwise(edges)
        ]
    )


def _behind(path: Path, other: Path) -> Path:
    return _path((path[0] * other[0], path[1] + other[1]))
