"""What a firm's buildings are usually like: what an estimate rests on, before anybody has surveyed one."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Annotated

from service.engine.ground.shapes import Metres, Millimetres, Unit
from service.engine.ground.vocabulary import Element, Facing, Runs
from service.engine.survey.cavity import Conductivity, Opening
from service.engine.survey.sourced import Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """A size as it usually is, and between what it lies in nearly all of the firm's buildings."""

    least: Annotated[float, Unit(""), "seldom less than this, in the unit of its name"]
    usual: Annotated[float, Unit(""), "as a rule, in the unit of its name"]
    most: Annotated[float, Unit(""), "seldom more than this, in the unit of its name"]


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualMembers:
    """The timber of a layer; how far apart its members stand is said of the whole set."""

    member_mm: Annotated[Millimetres, "breadth of a member"]
    plates_mm: Annotated[Millimetres, "timber at the two ends of the members, added up"] = 0.0
    blocking_rows: Annotated[int, Unit(""), "rows of blocking between the members"] = 0
    blocking_mm: Annotated[Millimetres, "thickness of a row of blocking"] = 0.0
    runs: Annotated[Runs, "whether the members run along the span or across it"] = Runs.ALONG
    conductivity_w_mk: Annotated[Conductivity, "conductivity of the timber"] = 0.13


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualLayer:
    """A layer of the depth; the one without a depth of its own has what the others leave."""

    depth_mm: Annotated[Millimetres | None, "its depth; not given: what the other layers leave"] = None
    members: Annotated[UsualMembers | None, "timber that stands in it; none in an open layer"] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualFraming(Sourced):
    """How the firm usually finds or builds an element of some depth.

    It holds for depths over `depth_over_mm` (exclusive) up to `depth_up_to_mm`
    (inclusive); None does not bind. `openings_percent` is the share of the element with
    its openings, each of them like `opening`.
    """

    name: Annotated[str, "what the firm calls it"]
    element: Annotated[Element, "the part of the envelope that it is"]
    facing: Annotated[Facing, "the side that the fill goes through"]
    layers: Annotated[tuple[UsualLayer, ...], "the depth, from the outside in"]
    width_m: Annotated[Metres, "how wide one cavity of it usually is"]
    span_m: Annotated[Usual, "size along the members (m)"]
    spacing_mm: Annotated[Usual, "members, centre to centre (mm)"]
    openings_percent: Annotated[Usual | None, "openings as a share of the element (%)"] = None
    opening: Annotated[Opening | None, "a usual opening"] = None
    pitch_deg: Annotated[float | None, Unit("deg"), "pitch of a roof slope"] = None
    depth_over_mm: Annotated[Millimetres | None, "holds for depths over this"] = None
    depth_up_to_mm: Annotated[Millimetres | None, "holds for depths up to this"] = None

    def fits(self, *, element: Element, depth_mm: float) -> bool:
        """Whether it is the usual one of this element and depth, with every layer having some of it."""
        over = self.depth_over_mm is None or depth_mm > self.depth_over_mm
        up_to = self.depth_up_to_mm is None or depth_mm <= self.depth_up_to_mm
        return element is self.element and over and up_to and depth_mm > self.fixed_mm

    @property
    def fixed_mm(self) -> float:
        """Depth of the layers that have one of their own, in mm."""
        return sum(layer.depth_mm or 0.0 for layer in self.layers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One way that a building may turn out within the usual sizes."""

    span_m: float
    spacing_mm: float
    openings_percent: float


SPANS = 9
"""So many spans are tried, evenly apart: a bay takes another hole wherever a hose no longer reaches."""

NO_OPENINGS = Usual(least=0.0, usual=0.0, most=0.0)


def cases(*, framing: UsualFraming) -> tuple[Case, ...]:
    """As it usually is, and then all over what it may be: spans from end to end, of all else the ends.

    Closer members or more openings only ever take more or less; with the span holes and samples go in steps.
    """
    span, spacing, openings = framing.span_m, framing.spacing_mm, framing.openings_percent or NO_OPENINGS
    usual = Case(span_m=span.usual, spacing_mm=spacing.usual, openings_percent=openings.usual)
    ends = product(_between(span), (spacing.least, spacing.most), (openings.least, openings.most))
    return (
        usual,
        *(Case(span_m=wide, spacing_mm=apart, openings_percent=share) for wide, apart, share in ends),
    )


def _between(size: Usual) -> Iterator[float]:
    """From its least to its most, evenly."""
    shares = (step / (SPANS - 1) for step in range(SPANS))
    return (size.least * (1 - share) + size.most * share for share in shares)
