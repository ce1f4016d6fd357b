"""Areas in the plane of a cavity: openings, timber and what is left for fill.

In a framed layer W lies across the members and S along them. Timber is taken out
of the layer it stands in; timber that would stand in an opening is left out in
proportion to the opening's share of the area. All areas are in m2 and of one of
the identical cavities.
"""

from service.engine.geometry.bays import member_count, sizes_m
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Runs, Standing
from service.engine.survey.cavity import Cavity, Framing, Layer

INSULATED_AREA = Formula(
    code="insulated_area",
    name="Area less openings",
    expression="count x (width_m x span_m - openings_m2)",
    source="plane geometry",
    standing=Standing.DERIVED,
)

NET_AREA = Formula(
    code="net_area",
    name="Clear area of a framed layer",
    expression=(
        "count x (across_m x along_m - openings_m2 - plates_mm/1000 x across_m - trim_m2 "
        "- (members x member_mm/1000 x (along_m - plates_mm/1000) "
        "+ blocking_rows x blocking_mm/1000 x (across_m - members x member_mm/1000)) "
        "x (1 - openings_m2/(across_m x along_m)))"
    ),
    source="plane geometry; timber in an opening left out in proportion",
    standing=Standing.DERIVED,
)

FRACTION_AREA = Formula(
    code="fraction_area",
    name="Clear area by a timber fraction",
    expression="count x ((width_m x span_m - openings_m2) x (1 - timber_fraction) - trim_m2)",
    source="definition of the timber fraction: of the area less openings, apart from their trim",
    standing=Standing.DERIVED,
)


def openings_m2(*, cavity: Cavity) -> float:
    """Area of all openings."""
    return sum(opening.count * opening.width_m * opening.height_m for opening in cavity.openings)


def insulated_area_m2(*, cavity: Cavity) -> float:
    """Area less openings: what a certificate states."""
    return cavity.width_m * cavity.span_m - openings_m2(cavity=cavity)


def trim_m2(*, cavity: Cavity) -> float:
    """Area of the timber round all openings."""
    return sum(
        opening.count * 2 * (opening.width_m + opening.height_m) * opening.trim_mm / 1000
        for opening in cavity.openings
    )


def clear_area_m2(*, cavity: Cavity, layer: Layer) -> float:
    """Area of a layer that is left for fill (NET_AREA, FRACTION_AREA, INSULATED_AREA).

    A timber fraction is of the area less openings, and apart from their trim. An
    open layer has no timber, so no trim either. Not above 0 where nothing is left.
    """
    insulated_m2 = insulated_area_m2(cavity=cavity)
    if layer.framing is None:
        return insulated_m2
    if layer.framing.timber_fraction is not None:
        return insulated_m2 * (1 - layer.framing.timber_fraction) - trim_m2(cavity=cavity)
    across_m, along_m = across_and_along_m(cavity=cavity, framing=layer.framing)
    kept = insulated_m2 / (cavity.width_m * cavity.span_m)
    return (
        insulated_m2
        - layer.framing.plates_mm / 1000 * across_m
        - _timber_between_plates_m2(layer.framing, across_m, along_m) * kept
        - trim_m2(cavity=cavity)
    )


def across_and_along_m(*, cavity: Cavity, framing: Framing) -> tuple[float, float]:
    """The cavity's sizes across the members and along them, in metres."""
    if framing.runs is Runs.ACROSS:
        return cavity.span_m, cavity.width_m
    return cavity.width_m, cavity.span_m


def _timber_between_plates_m2(framing: Framing, across_m: float, along_m: float) -> float:
    member_m, _ = sizes_m(framing=framing)
    breadth_m = member_count(framing=framing, across_m=across_m) * member_m
    blocking_m = framing.blocking_rows * framing.blocking_mm / 1000
    return breadth_m * (along_m - framing.plates_mm / 1000) + blocking_m * (across_m - breadth_m)
