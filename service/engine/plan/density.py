"""The window that the density of a closed cavity must lie in, and each rule that set it.

Two kinds of rule. Some bind: the material's data sheet, the density range that its
conductivity is declared for, its highest loading, and the bands of the practice
profile; the strictest of them are the window's limits, which a certificate is judged
by. Others only advise: a band that is known from memory or at second hand, until the
firm makes it its own, and the non-settling density, which was found for one product in
one climate, until the firm declares that it works by it. Advice sets no limit and moves
no target: it is shown beside them. Every rule looked at is kept in `considered`.
"""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, replace
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.vocabulary import Element, Fill, Standing
from service.engine.plan.bounds import Bound, highest_loading, non_settling_kg_m3
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import DensityBand, Material, Practice, SheetDensity
from service.engine.survey.sourced import decides
from service.errors import Fault, InvalidInput

PLANNER = "the planner"
DENSITY_WINDOW = Formula(
    code="density_window",
    expression="lowest = max(lowest of each rule that binds), highest = min(highest of each rule that binds)",
    source="data sheet, REACH Annex XVII entry 65, practice profile",
    standing=Standing.DECLARED,
)

DENSITY_TARGET = Formula(
    code="density_target",
    expression=(
        "the first that lies in the window: the one posted, the firm's declared practice, the data sheet's, "
        "(lowest + highest)/2"
    ),
    source="the planner, the firm's declared practice, the data sheet or the window itself",
    standing=Standing.DECLARED,
)

FORMULAS = (DENSITY_WINDOW, DENSITY_TARGET)


FAR = 0.1  # of the sheet's target: a posted one that is further from it is asked about (ours)


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The limits and the target of a cavity, all rules looked at, and what the target leaves unheeded."""

    lowest_kg_m3: Annotated[Bound, "the least density that conforms"]
    target_kg_m3: Annotated[Bound, "the density that the cavity is planned with"]
    highest_kg_m3: Annotated[Bound, "the greatest density that conforms"]
    considered: Annotated[tuple[Bound, ...], "every rule looked at, those that only advise among them"]
    cautions: Annotated[tuple[Message, ...], "advice that the target does not follow"] = ()
    provenance: Annotated[Provenance, "how the limits were chosen of the rules"] = DENSITY_WINDOW.provenance


def window(*, cavity: Cavity, material: Material, practice: Practice) -> Window | None:
    """The density window of a cavity that is blown tight; None for an open blow.

    The target is the posted one, which must lie within the limits; else the first that
    does of the firm's declared practice (the highest where several bands match), the
    data sheet's and the middle of the window (DENSITY_TARGET).

    Raises InvalidInput at `/element` (no densities for it on the sheet), `/layers` (too
    deep, or no density suits every rule), `/target_kg_m3` (outside the limits, or given
    for an open blow) or `/label_r` (given for a cavity that is blown tight).
    """
    if cavity.lies is Fill.OPEN:
        if cavity.target_kg_m3 is not None:
            raise _refused("/target_kg_m3", message("plan.target_of_open_blow"))
        return None
    if cavity.label_r is not None:
        raise _refused("/label_r", message("plan.label_of_dense_fill"))
    sheet = _sheet(cavity.element, material)
    bands = tuple(band for band in practice.bands if matches(band=band, cavity=cavity))
    lows = tuple(_lows(cavity, material, sheet, bands, practice))
    highs = tuple(_highs(cavity, material, sheet, bands))
    lowest = max((bound for bound in lows if bound.binds), key=_value)
    highest = min((bound for bound in highs if bound.binds), key=_value)
    if lowest.value > highest.value:
        raise _refused("/layers", message("plan.no_density", lowest=_said(lowest), highest=_said(highest)))
    sheets = _of_sheet(sheet.target_kg_m3, "plan.sheet_target", material)
    wanted = (*_practised_target(bands), *sheets)
    target = _posted(cavity.target_kg_m3, lowest, highest) or _first_within(wanted, lowest, highest)
    return Window(
        lowest_kg_m3=lowest,
        target_kg_m3=target,
        highest_kg_m3=highest,
        considered=lows + highs,
        cautions=(
            *_unheeded(target, lows, highs),
            *_passed_over(target, wanted, lowest, highest),
            *_far(cavity.target_kg_m3, sheets),
        ),
    )


def decided_by(*, cavity: Cavity) -> tuple[Hashable, ...]:
    """All of a cavity that its window depends on: those that are alike in it have the same one."""
    of_kind = (cavity.lies, cavity.element, cavity.target_kg_m3, cavity.label_r)
    return (*of_kind, cavity.depth_mm, cavity.span_m)


def _refused(pointer: str, said: Message) -> InvalidInput:
    return InvalidInput(Fault(pointer, said))


def _value(bound: Bound) -> float:
    return bound.value


def _sheet(element: Element, material: Material) -> SheetDensity:
    for row in material.densities:
        if row.element is element:
            return row
    raise _refused("/element", message("plan.no_sheet_density", material=material.code, element=element))


def matches(*, band: DensityBand, cavity: Cavity) -> bool:
    """Whether a band of practice is for a cavity of this element, depth and span."""
    depth_mm, span_m = cavity.depth_mm, cavity.span_m
    return (
        band.element is cavity.element
        and (band.depth_over_mm is None or depth_mm > band.depth_over_mm)
        and (band.depth_up_to_mm is None or depth_mm <= band.depth_up_to_mm)
        and (band.span_over_m is None or span_m > band.span_over_m)
        and (band.span_up_to_m is None or span_m <= band.span_up_to_m)
    )


def _lows(
    cavity: Cavity,
    material: Material,
    sheet: SheetDensity,
    bands: tuple[DensityBand, ...],
    practice: Practice,
) -> Iterator[Bound]:
    yield from _of_sheet(sheet.lowest_kg_m3, "plan.sheet_lowest", material)
    yield from _of_sheet(material.conductivity_lowest_kg_m3, "plan.conductivity_lowest", material)
    for band in bands:
        yield _practised(band.lowest_kg_m3, "plan.practice_lowest", band)
    if cavity.element in (Element.WALL, Element.ROOF_SLOPE):
        binds = practice.decision.non_settling_binds
        advice = non_settling_kg_m3(depth_m=cavity.depth_mm / 1000, binds=binds)
        tested = cavity.element is Element.WALL
        yield replace(advice, extrapolated=advice.extrapolated or not tested)


def _highs(
    cavity: Cavity, material: Material, sheet: SheetDensity, bands: tuple[DensityBand, ...]
) -> Iterator[Bound]:
    yield from _of_sheet(sheet.highest_kg_m3, "plan.sheet_highest", material)
    yield from _of_sheet(material.conductivity_highest_kg_m3, "plan.conductivity_highest", material)
    if loading := highest_loading(depth_mm=cavity.depth_mm, material=material):
        yield loading
    for band in bands:
        if band.highest_kg_m3 is not None:
            yield _practised(band.highest_kg_m3, "plan.practice_highest", band)


def _of_sheet(value: float | None, code: str, material: Material) -> tuple[Bound, ...]:
    """What the sheet says. It binds whatever its standing: there is no fill without a sheet."""
    if value is None:
        return ()
    known = Provenance(rule=message(code), source=material.source, standing=material.standing)
    return (Bound(value=value, provenance=known),)


def _practised(value: float, code: str, band: DensityBand) -> Bound:
    known = Provenance(rule=message(code), source=band.source, standing=band.standing)
    return Bound(value=value, provenance=known, binds=decides(standing=band.standing))


def _posted(target_kg_m3: float | None, lowest: Bound, highest: Bound) -> Bound | None:
    if target_kg_m3 is None:
        return None
    wanted = Quantity(target_kg_m3, "kg/m3")
    if target_kg_m3 < lowest.value:
        said = message("plan.target_below_lowest", target=wanted, limit=_said(lowest))
        raise _refused("/target_kg_m3", said)
    if target_kg_m3 > highest.value:
        said = message("plan.target_above_highest", target=wanted, limit=_said(highest))
        raise _refused("/target_kg_m3", said)
    known = Provenance(rule=message("plan.posted_target"), source=PLANNER, standing=Standing.DECLARED)
    return Bound(value=target_kg_m3, provenance=known)


def _practised_target(bands: tuple[DensityBand, ...]) -> tuple[Bound, ...]:
    """The firm's own target, the highest where several of its bands match; none that it does not declare."""
    declared = (
        _practised(band.target_kg_m3, "plan.practice_target", band)
        for band in bands
        if band.target_kg_m3 is not None and band.standing is Standing.DECLARED
    )
    highest = max(declared, key=_value, default=None)
    return () if highest is None else (highest,)


def _first_within(wanted: tuple[Bound, ...], lowest: Bound, highest: Bound) -> Bound:
    within = (bound for bound in wanted if lowest.value <= bound.value <= highest.value)
    middle = Provenance(
        rule=message("plan.middle_of_window"), source=DENSITY_TARGET.source, standing=Standing.DERIVED
    )
    return next(within, Bound(value=(lowest.value + highest.value) / 2, provenance=middle))


def _unheeded(target: Bound, lows: tuple[Bound, ...], highs: tuple[Bound, ...]) -> Iterator[Message]:
    planned = Quantity(target.value, "kg/m3")
    for bound in lows:
        if target.value < bound.value:
            yield message("plan.target_below_advice", target=planned, advice=_said(bound))
    for bound in highs:
        if target.value > bound.value:
            yield message("plan.target_above_advice", target=planned, advice=_said(bound))


def _passed_over(
    target: Bound, wanted: tuple[Bound, ...], lowest: Bound, highest: Bound
) -> Iterator[Message]:
    """The targets that came before the one taken and lie outside the window."""
    for bound in wanted:
        if bound is target or target.provenance.rule.code == "plan.posted_target":
            return
        limit = lowest if bound.value < lowest.value else highest
        yield message("plan.target_passed_over", target=_said(bound), limit=_said(limit))


def _far(posted_kg_m3: float | None, sheets: tuple[Bound, ...]) -> Iterator[Message]:
    for sheet in sheets:
        if posted_kg_m3 is not None and abs(posted_kg_m3 - sheet.value) > FAR * sheet.value:
            wanted = Quantity(posted_kg_m3, "kg/m3")
            yield message("plan.target_far_from_sheet", target=wanted, sheet=_said(sheet))


def _said(bound: Bound) -> Message:
    code = "plan.bound_extrapolated" if bound.extrapolated else "plan.bound"
    known = bound.provenance
    return message(code, density=Quantity(bound.value, "kg/m3"), rule=known.rule, source=known.source)
