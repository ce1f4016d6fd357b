"""Areas in the plane of a cavity: what is left for fill in each layer.

Where every opening has its place, a layer's area is the sum of its clear spaces. What has
no place cannot be cut out of them: it takes its own area, and in a framed layer as much
less of members and blocking as its share of the area between the plates. All areas are in
m2 and of one of the identical cavities.
"""

from dataclasses import dataclass

from service.engine.geometry.layout import edge_of, outline
from service.engine.geometry.rectangles import Rectangle, without_all
from service.engine.ground.formula import Formula
from service.engine.ground.quick import maker, quick
from service.engine.ground.vocabulary import Runs, Standing
from service.engine.survey.cavity import Cavity, Framing, Layer, Opening

INSULATED_AREA = Formula(
    code="insulated_area",
    expression="count x (face_m2 - openings_m2)",
    source="plane geometry",
    standing=Standing.DERIVED,
)

OPEN_AREA = Formula(
    code="open_area",
    expression="count x (sum(clear_m2) - unplaced_m2)",
    source="plane geometry: openings and the boxes round them are left out",
    standing=Standing.DERIVED,
)

CLEAR_AREA = Formula(
    code="clear_area",
    expression="count x sum(clear_m2) x (1 - unplaced_m2/between_plates_m2)",
    source="plane geometry: the clear spaces that the rectangles of timber and openings leave",
    standing=Standing.DERIVED,
)

FRACTION_AREA = Formula(
    code="fraction_area",
    expression="count x ((face_m2 - openings_m2) x (1 - timber_fraction) - trim_m2)",
    source="definition of the timber fraction: of the area less openings, apart from their trim",
    standing=Standing.DERIVED,
)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class LayerArea:
    """A layer's area for fill and what it is made of, in m2.

    `clear_m2` is the sum of its clear spaces, `unplaced_m2` what openings without a place take
    with their trim or boxes (in a layer with members: between its plates), `between_plates_m2`
    what lies between the plates beside placed openings, `trim_m2` the timber round openings
    of a layer that is known by its timber fraction.
    """

    net_m2: float
    clear_m2: float
    unplaced_m2: float = 0.0
    between_plates_m2: float = 0.0
    trim_m2: float = 0.0


_layer_area = maker(LayerArea)


def face_m2(*, cavity: Cavity) -> float:
    """Area of the whole cavity, openings included."""
    edge = edge_of(cavity=cavity)
    return edge.area_m2(_face(cavity)) if edge else cavity.width_m * cavity.span_m


def insulated_area_m2(*, cavity: Cavity) -> float:
    """Area less openings: what a certificate states (INSULATED_AREA)."""
    return face_m2(cavity=cavity) - cavity.openings_m2


def layer_area(*, cavity: Cavity, layer: Layer, clear_m2: float) -> LayerArea:
    """Area of a layer that is left for fill (OPEN_AREA, CLEAR_AREA, FRACTION_AREA).

    `clear_m2` is the sum of the layer's clear spaces. Not above 0 where nothing is left.
    """
    if layer.framing is None:
        unplaced_m2 = _unplaced_m2(cavity, None, boxed=True)
        return _layer_area(net_m2=clear_m2 - unplaced_m2, clear_m2=clear_m2, unplaced_m2=unplaced_m2)
    if layer.framing.timber_fraction is not None:
        return _by_fraction(cavity, layer.framing.timber_fraction, clear_m2)
    if not cavity.unplaced:
        return _layer_area(net_m2=clear_m2, clear_m2=clear_m2)
    unplaced_m2 = _unplaced_m2(cavity, layer.framing, boxed=False)
    between_m2 = between_plates_m2(cavity=cavity, framing=layer.framing)
    kept = 1 - unplaced_m2 / between_m2 if between_m2 > 0 else 0.0
    return _layer_area(
        net_m2=clear_m2 * kept, clear_m2=clear_m2, unplaced_m2=unplaced_m2, between_plates_m2=between_m2
    )


def across_and_along_m(*, cavity: Cavity, framing: Framing) -> tuple[float, float]:
    """The cavity's sizes across the members and along them, in metres."""
    if framing.runs is Runs.ACROSS:
        return cavity.span_m, cavity.width_m
    return cavity.width_m, cavity.span_m


def between_plates_m2(*, cavity: Cavity, framing: Framing) -> float:
    """Area between a layer's plates, less the openings that have a place, with their trim."""
    half_m, edge = framing.plates_mm / 2000, edge_of(cavity=cavity)
    placed = tuple(
        outline(opening=each, past_m=each.trim_mm / 1000) for each in cavity.openings if each.is_placed
    )
    left_m, bottom_m = (half_m, 0.0) if framing.runs is Runs.ACROSS else (0.0, half_m)
    whole = Rectangle(left_m, cavity.width_m - left_m, bottom_m, cavity.span_m - bottom_m)
    pieces = without_all((whole,), placed)
    return sum(edge.area_m2(each, drop_m=bottom_m) if edge else each.area_m2 for each in pieces)


def between_plates_height_m(
    *, cavity: Cavity, opening: Opening, framing: Framing | None, past_m: float
) -> float:
    """How much of an opening's height, `past_m` larger at both ends, lies between the plates it stands on.

    One whose sill is not known is taken to touch none.
    """
    plates_m = framing.plates_mm / 2000 if framing and framing.runs is Runs.ALONG else 0.0
    height_m = opening.height_m + 2 * past_m
    if opening.sill_m is None:
        return min(height_m, cavity.span_m - 2 * plates_m)
    bottom_m = opening.sill_m - past_m
    return min(bottom_m + height_m, cavity.span_m - plates_m) - max(bottom_m, plates_m)


def _face(cavity: Cavity) -> Rectangle:
    return Rectangle(0.0, cavity.width_m, 0.0, cavity.span_m)


def _unplaced_m2(cavity: Cavity, framing: Framing | None, *, boxed: bool) -> float:
    """What openings without a place take, with their trim or their boxes, between the plates there are."""
    return sum(
        each.count * _outline_m2(cavity, each, framing, (each.reveal_mm if boxed else each.trim_mm) / 1000)
        for each in cavity.openings
        if not each.is_placed
    )


def _outline_m2(cavity: Cavity, opening: Opening, framing: Framing | None, past_m: float) -> float:
    plates_m = framing.plates_mm / 1000 if framing and framing.runs is Runs.ACROSS else 0.0
    width_m = min(opening.width_m + 2 * past_m, cavity.width_m - plates_m)
    return width_m * between_plates_height_m(cavity=cavity, opening=opening, framing=framing, past_m=past_m)


def _by_fraction(cavity: Cavity, share: float, clear_m2: float) -> LayerArea:
    unplaced_m2 = _unplaced_m2(cavity, None, boxed=False)
    insulated_m2 = insulated_area_m2(cavity=cavity)
    trim_m2 = insulated_m2 - (clear_m2 - unplaced_m2)
    return _layer_area(
        net_m2=insulated_m2 * (1 - share) - trim_m2,
        clear_m2=clear_m2,
        unplaced_m2=unplaced_m2,
        trim_m2=trim_m2,
    )
