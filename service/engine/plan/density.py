"""The window that the density of a closed cavity must lie in, and each rule that set it.

Two kinds of rule. Some bind: the material's data sheet, the density range that its
conductivity is declared for, its highest loading, and the bands of the practice
profile; the strictest of them are the window's limits, which a certificate is judged
by. Others only advise: a band that is written down from memory, until the firm makes
it its own, and the non-settling density, which was found for one product in one
climate. They never set a limit, so that neither decides a certificate nor overrules
the maker's sheet. Where the engine picks the target it goes along with advice as far
as the limits allow, save with advice that is an extrapolation; and where a target does
not follow advice, a caution says so. Every rule looked at is kept in `considered`.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import log

from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Element, Fill, Standing
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import DensityBand, Loading, Material, Practice, SheetDensity
from service.errors import Fault, InvalidInput

NON_SETTLING = Formula(
    code="non_settling",
    name="Non-settling density",
    expression="48 + 5 ln(depth_m/0.1)/ln 3",
    source=(
        "SBi/DBRI, Settling of loose-fill insulation materials in walls, summary: no settling from 48 kg/m3 "
        "at 0.1 m and 53 kg/m3 at 0.3 m, one product at RH 50 %; interpolated here on the logarithm of depth"
    ),
    standing=Standing.DERIVED,
)

DENSITY_WINDOW = Formula(
    code="density_window",
    name="Strictest of the rules that bind",
    expression="lowest = max(lowest of each rule that binds), highest = min(highest of each rule that binds)",
    source="data sheet, REACH Annex XVII entry 65, practice profile",
    standing=Standing.DECLARED,
)

DENSITY_TARGET = Formula(
    code="density_target",
    name="Target density",
    expression="the planner's; else the practice profile's, else the data sheet's, moved into the limits",
    source="the planner, the practice profile or the data sheet",
    standing=Standing.DECLARED,
)

FORMULAS = (DENSITY_WINDOW, DENSITY_TARGET, NON_SETTLING)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """A density in kg/m3 and the rule that asks for it; `binds` is false where the rule only advises."""

    value: float
    rule: str
    source: str
    standing: Standing
    extrapolated: bool = False
    binds: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The limits and the target of a cavity, all rules looked at, and what the target leaves unheeded.

    Each bound names the rule that asks for it, the window how the limits were chosen of these.
    """

    lowest_kg_m3: Bound
    target_kg_m3: Bound
    highest_kg_m3: Bound
    considered: tuple[Bound, ...]
    cautions: tuple[str, ...] = ()
    rule: str = DENSITY_WINDOW.name
    source: str = DENSITY_WINDOW.source
    standing: Standing = DENSITY_WINDOW.standing


def non_settling_kg_m3(*, depth_m: float) -> Bound:
    """The density from which fill in a wall `depth_m` deep was found not to settle (NON_SETTLING).

    Between 0.1 and 0.3 m an interpolation, else an extrapolation and marked so.
    """
    return Bound(
        value=48 + 5 * log(depth_m / 0.1) / log(3),
        rule=NON_SETTLING.name,
        source=NON_SETTLING.source,
        standing=NON_SETTLING.standing,
        extrapolated=not 0.1 <= depth_m <= 0.3,
        binds=False,
    )


def highest_loading(*, depth_mm: float, material: Material) -> Bound | None:
    """The most that the maker permits at this depth; None where he states no highest loading.

    Raises InvalidInput at `/layers` where the cavity is deeper than any loading stated.
    """
    if not material.loadings:
        return None
    deep_enough = [row for row in material.loadings if row.depth_mm >= depth_mm]
    if not deep_enough:
        deepest = max(row.depth_mm for row in material.loadings)
        raise InvalidInput(
            Fault(
                "/layers",
                f"{material.code} may be used up to {deepest:g} mm thick (highest loading, REACH Annex XVII "
                f"entry 65), not {depth_mm:.6g} mm.",
            )
        )
    row: Loading = min(deep_enough, key=lambda each: each.depth_mm)
    return Bound(
        value=row.density_kg_m3,
        rule=f"Highest loading up to {row.depth_mm:g} mm",
        source=f"REACH Annex XVII entry 65; {material.source}",
        standing=material.standing,
    )


def window(*, cavity: Cavity, material: Material, practice: Practice) -> Window | None:
    """The density window of a cavity that is blown tight; None for an open blow.

    The target is the planner's, which must lie within the limits; else that of the
    practice profile's band (the highest where several match, whatever their standing,
    for a target judges nothing), else of the data sheet, moved to the nearest bound
    where it lies outside, and its rule says so.

    Raises InvalidInput at `/element` (no densities for it on the sheet), `/layers` (too
    deep, or no density suits every rule), `/target_kg_m3` (outside the limits, or given
    for an open blow) or `/label_r` (given for a cavity that is blown tight).
    """
    if cavity.lies is Fill.OPEN:
        if cavity.target_kg_m3 is not None:
            raise InvalidInput(
                Fault("/target_kg_m3", "An open blow has no target density: give its settled thickness.")
            )
        return None
    if cavity.label_r is not None:
        raise InvalidInput(Fault("/label_r", "A row of the label chart applies to an open blow only."))
    sheet = _sheet(cavity.element, material)
    bands = tuple(band for band in practice.bands if _matches(band, cavity))
    lows = tuple(_lows(cavity, material, sheet, bands))
    highs = tuple(_highs(cavity, material, sheet, bands))
    lowest = _strictest_low(bound for bound in lows if bound.binds)
    highest = _strictest_high(bound for bound in highs if bound.binds)
    if lowest.value > highest.value:
        raise InvalidInput(
            Fault(
                "/layers",
                f"No density suits this cavity: {_said(lowest)} is the lowest, {_said(highest)} the highest.",
            )
        )
    target = _planned(cavity.target_kg_m3, lowest, highest) or _chosen(
        _wanted(material, sheet, bands), lows, highs, lowest, highest
    )
    return Window(
        lowest_kg_m3=lowest,
        target_kg_m3=target,
        highest_kg_m3=highest,
        considered=lows + highs,
        cautions=tuple(_cautions(target, lows, highs)),
    )


def _sheet(element: Element, material: Material) -> SheetDensity:
    for row in material.densities:
        if row.element is element:
            return row
    raise InvalidInput(
        Fault("/element", f"The data sheet of {material.code} gives no density for the element {element}.")
    )


def _matches(band: DensityBand, cavity: Cavity) -> bool:
    depth_mm, span_m = cavity.depth_mm, cavity.span_m
    return (
        band.element is cavity.element
        and (band.depth_over_mm is None or depth_mm > band.depth_over_mm)
        and (band.depth_up_to_mm is None or depth_mm <= band.depth_up_to_mm)
        and (band.span_over_m is None or span_m > band.span_over_m)
        and (band.span_up_to_m is None or span_m <= band.span_up_to_m)
    )


def _lows(
    cavity: Cavity, material: Material, sheet: SheetDensity, bands: tuple[DensityBand, ...]
) -> Iterator[Bound]:
    yield _declared(sheet.lowest_kg_m3, "Data sheet, lowest density", material)
    yield _declared(material.conductivity_lowest_kg_m3, "Declared conductivity, lowest density", material)
    for band in bands:
        yield _practised(band.lowest_kg_m3, "Practice band, lowest density", band)
    if cavity.element in (Element.WALL, Element.ROOF_SLOPE):
        advice = non_settling_kg_m3(depth_m=cavity.depth_mm / 1000)
        tested = cavity.element is Element.WALL
        yield replace(advice, extrapolated=advice.extrapolated or not tested)


def _highs(
    cavity: Cavity, material: Material, sheet: SheetDensity, bands: tuple[DensityBand, ...]
) -> Iterator[Bound]:
    yield _declared(sheet.highest_kg_m3, "Data sheet, highest density", material)
    yield _declared(material.conductivity_highest_kg_m3, "Declared conductivity, highest density", material)
    if loading := highest_loading(depth_mm=cavity.depth_mm, material=material):
        yield loading
    for band in bands:
        if band.highest_kg_m3 is not None:
            yield _practised(band.highest_kg_m3, "Practice band, highest density", band)


def _declared(value: float, rule: str, material: Material) -> Bound:
    return Bound(value=value, rule=rule, source=material.source, standing=material.standing)


def _practised(value: float, rule: str, band: DensityBand) -> Bound:
    binds = band.standing is not Standing.FROM_MEMORY
    return Bound(value=value, rule=rule, source=band.source, standing=band.standing, binds=binds)


def _strictest_low(bounds: Iterator[Bound]) -> Bound:
    return max(bounds, key=lambda bound: bound.value)


def _strictest_high(bounds: Iterator[Bound]) -> Bound:
    return min(bounds, key=lambda bound: bound.value)


def _planned(target_kg_m3: float | None, lowest: Bound, highest: Bound) -> Bound | None:
    if target_kg_m3 is None:
        return None
    for limit, outside in ((lowest, target_kg_m3 < lowest.value), (highest, target_kg_m3 > highest.value)):
        if outside:
            side = "below the lowest" if limit is lowest else "above the highest"
            detail = f"{target_kg_m3:g} kg/m3 is {side} density for this cavity, {_said(limit)}."
            raise InvalidInput(Fault("/target_kg_m3", detail))
    return Bound(
        value=target_kg_m3, rule="Planner's target", source="the planner", standing=Standing.DECLARED
    )


def _wanted(material: Material, sheet: SheetDensity, bands: tuple[DensityBand, ...]) -> Bound:
    targets = [
        _practised(band.target_kg_m3, "Practice band, target density", band)
        for band in bands
        if band.target_kg_m3 is not None
    ]
    if targets:
        return max(targets, key=lambda bound: bound.value)
    return _declared(sheet.target_kg_m3, "Data sheet, target density", material)


def _chosen(
    wanted: Bound, lows: tuple[Bound, ...], highs: tuple[Bound, ...], lowest: Bound, highest: Bound
) -> Bound:
    advised = _moved(
        wanted,
        _strictest_low(bound for bound in lows if not bound.extrapolated),
        _strictest_high(bound for bound in highs if not bound.extrapolated),
    )
    return _moved(advised, lowest, highest)


def _moved(target: Bound, lowest: Bound, highest: Bound) -> Bound:
    if lowest.value <= target.value <= highest.value:
        return target
    bound = lowest if target.value < lowest.value else highest
    return replace(bound, rule=f"{target.rule} ({target.value:g} kg/m3), moved to: {bound.rule}")


def _cautions(target: Bound, lows: tuple[Bound, ...], highs: tuple[Bound, ...]) -> Iterator[str]:
    for bound in lows:
        if target.value < bound.value:
            yield f"The target of {target.value:.1f} kg/m3 is below advice: {_said(bound, '.1f')}."
    for bound in highs:
        if target.value > bound.value:
            yield f"The target of {target.value:.1f} kg/m3 is above advice: {_said(bound, '.1f')}."


def _said(bound: Bound, places: str = ".6g") -> str:
    extrapolated = ", extrapolated" if bound.extrapolated else ""
    return f"{bound.value:{places}} kg/m3 ({bound.rule}{extrapolated}; {bound.source})"
