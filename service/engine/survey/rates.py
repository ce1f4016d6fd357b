"""What work takes: the hours of a crew, by what it does and by the way of filling."""

from dataclasses import dataclass, field
from typing import Annotated

from service.engine.ground.shapes import Hours, Metres, Millimetres, Unit
from service.engine.ground.vocabulary import Method
from service.engine.survey.sourced import Sourced, Texts


@dataclass(frozen=True, slots=True, kw_only=True)
class MethodRates(Sourced):
    """What one way of filling takes.

    `kg_h` while blowing; `hole_mm` the hole's breadth and height (0: no hole);
    `reach_m` how far material travels from the mouth of a plain hose (None: any);
    `per_bay_h` extra hours a bay (placing hoses, fixing strips);
    `strip_per_m` metres of dividing strip a metre of member (divided bays only).
    """

    method: Annotated[Method, "way of filling"]
    kg_h: Annotated[float, Unit("kg/h"), "what is blown in an hour"]
    hole_mm: Annotated[Millimetres, "breadth and height of a hole; 0: none is needed"]
    reach_m: Annotated[
        Metres | None, "how far material travels from a plain hose's mouth; null: as far as it must"
    ] = None
    per_bay_h: Annotated[Hours, "hours more for each bay"] = 0.0
    strip_per_m: Annotated[float, Unit("m per m"), "dividing strip for a metre of member"] = 0.0
    settings: Annotated[Texts, "settings of the machine, by language"] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates(Sourced):
    """Hours of a crew, apart from blowing.

    `hose_mm` is the firm's thinnest hose from outside; unsaid, it is as thick as the
    smallest hole that a hose is put through.
    """

    set_up_h: Annotated[Hours, "setting up and clearing away"]
    hole_h: Annotated[Hours, "making a hole"]
    patch_h: Annotated[Hours, "closing a hole"]
    move_h: Annotated[Hours, "moving to the next cavity"]
    cleaning_h: Annotated[Hours, "cleaning the site"]
    sample_h: Annotated[Hours, "taking a sample"]
    crew: Annotated[int, "people in the crew"]
    methods: Annotated[tuple[MethodRates, ...], "what each way of filling takes"]
    hose_mm: Annotated[Millimetres | None, "thickness of the thinnest hose from outside"] = None
