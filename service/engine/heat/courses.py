"""What each course of an element, from the outside in, adds to its thermal resistance."""

from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.formula import Formula
from service.engine.ground.quick import maker, quick
from service.engine.ground.shapes import Resistance
from service.engine.ground.vocabulary import CourseKind, Standing
from service.engine.heat.buildup import Flank, Flanks
from service.engine.heat.surfaces import Surfaces

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
    expression="(r_upper + r_lower)/2 - sum(others_m2k_w)",
    source="what the mean of the two limits leaves when surfaces and layers are taken off",
    standing=Standing.DERIVED,
)

FORMULAS = (LAYER, GIVEN, BRIDGED, REST)


@quick
@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """A surface, a layer beside the cavity by its name, or the fill with the timber in it; in m2K/W."""

    kind: Annotated[CourseKind, "what the course is"]
    name: Annotated[str, "the layer's name as posted; empty for a surface and for the fill"]
    resistance_m2k_w: Annotated[Resistance, "thermal resistance of the course"]


_course = maker(Course)


def courses(*, flanks: Flanks, faces: Surfaces, whole_m2k_w: float) -> tuple[Course, ...]:
    """All courses of an element of `whole_m2k_w`, which they add up to (LAYER, GIVEN, BRIDGED, REST).

    The layers beside the cavity and the surfaces have their own resistance; the rest is
    the fill's, weakened by its timber: a mean of two limits, which no part of it has by itself.
    """
    others = others_m2k_w(flanks=flanks, faces=faces)
    return (
        _course(kind=CourseKind.OUTER_SURFACE, name="", resistance_m2k_w=faces.rse),
        *map(_layer, flanks.outside),
        _course(kind=CourseKind.FILL, name="", resistance_m2k_w=whole_m2k_w - others),
        *map(_layer, flanks.inside),
        _course(kind=CourseKind.INNER_SURFACE, name="", resistance_m2k_w=faces.rsi),
    )


def others_m2k_w(*, flanks: Flanks, faces: Surfaces) -> float:
    """What the surfaces and the layers beside the cavity have of its resistance."""
    return faces.rse + faces.rsi + sum([each.whole for each in flanks.outside + flanks.inside])


def _layer(flank: Flank) -> Course:
    return _course(kind=CourseKind.LAYER, name=flank.layer.name, resistance_m2k_w=flank.whole)
