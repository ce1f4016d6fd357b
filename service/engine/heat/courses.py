"""What each course of an element, from the outside in, adds to its thermal resistance."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.formula import Formula
from service.engine.ground.shapes import Resistance
from service.engine.ground.vocabulary import CourseKind, Standing
from service.engine.heat.buildup import Beside, battens_m2k_w, beside, resistances_m2k_w
from service.engine.heat.surfaces import Surfaces
from service.engine.survey.cavity import Cavity

LAYER = Formula(
    code="layer_resistance",
    expression="thickness_mm/1000/conductivity_w_mk",
    source="ISO 6946: thickness over conductivity",
    standing=Standing.PUBLISHED,
)

GIVEN = Formula(
    code="given_resistance",
    expression="given_m2k_w",
    source="the posted building",
    standing=Standing.DECLARED,
)

BRIDGED = Formula(
    code="bridged_resistance",
    expression="1/(timber_fraction/timber_m2k_w + (1 - timber_fraction)/between_m2k_w)",
    source="ISO 6946: heat evens out in the planes on either side of the layer",
    standing=Standing.PUBLISHED,
)

REST = Formula(
    code="fill_course",
    expression="whole_m2k_w - others_m2k_w",
    source="what the mean of the two limits leaves when surfaces and layers are taken off",
    standing=Standing.DERIVED,
)

FORMULAS = (LAYER, GIVEN, BRIDGED, REST)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A surface, a layer beside the cavity by its name, or the fill with the timber in it; in m2K/W."""

    kind: Annotated[CourseKind, "what the course is"]
    name: Annotated[str, "the layer's name as posted; empty for a surface and for the fill"]
    resistance_m2k_w: Annotated[Resistance, "thermal resistance of the course"]


def courses(*, cavity: Cavity, faces: Surfaces, whole_m2k_w: float) -> tuple[Course, ...]:
    """All courses of an element of `whole_m2k_w`, which they add up to (LAYER, GIVEN, BRIDGED, REST).

    The layers beside the cavity and the surfaces have their own resistance; the rest is
    the fill's, weakened by its timber: a mean of two limits, which no part of it has by itself.
    """
    outside, inside = beside(cavity=cavity)
    outer, inner = tuple(_layers(outside)), tuple(_layers(inside))
    others = faces.rse + faces.rsi + sum(each.resistance_m2k_w for each in outer + inner)
    return (
        Course(kind=CourseKind.OUTER_SURFACE, name="", resistance_m2k_w=faces.rse),
        *outer,
        Course(kind=CourseKind.FILL, name="", resistance_m2k_w=whole_m2k_w - others),
        *inner,
        Course(kind=CourseKind.INNER_SURFACE, name="", resistance_m2k_w=faces.rsi),
    )


def _layers(layers: tuple[Beside, ...]) -> Iterator[Course]:
    rows = zip(layers, resistances_m2k_w(layers=layers), battens_m2k_w(layers=layers), strict=True)
    for each, between, timber in rows:
        share = each.layer.timber_fraction or 0.0
        resistance = between if timber is None else 1 / (share / timber + (1 - share) / between)
        yield Course(kind=CourseKind.LAYER, name=each.layer.name, resistance_m2k_w=resistance)
