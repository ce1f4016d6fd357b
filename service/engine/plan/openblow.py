"""Open blow: loose fill on an open floor, measured by settled thickness and mass per area.

There is no target density. The fill settles to the thickness of the layers, so it is
blown thicker by what it will settle; the mass per area stays the same. Where a row of
the label chart is asked for, it has the last word on thickness, mass and bags: an R per
inch is never multiplied by inches (16 CFR 460.17).

Both are least values, and what is measured of them is uncertain: who plans the least
proves it one time in four. So more is planned, by a guard band (`guard`).
"""

from dataclasses import dataclass
from typing import Annotated

from service.engine.geometry.geometry import Geometry
from service.engine.geometry.plane import Plane
from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.messages import Message, Quantity, message
from service.engine.ground.shapes import (
    KgPerM2,
    KgPerM3,
    Kilograms,
    Millimetres,
    Percent,
    SquareMetres,
    Unit,
)
from service.engine.ground.vocabulary import Market, Standing
from service.engine.ground.working import Working
from service.engine.plan.bounds import highest_loading
from service.engine.plan.guard import Guard, guard
from service.engine.plan.quantities import whole
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import ChartRow, Material, Practice
from service.errors import Fault, InvalidInput

OPEN_BLOW = Formula(
    code="open_blow",
    expression=(
        "mass_per_area_kg_m2 = settled_mm/1000 x settled_kg_m3; "
        "initial_mm = settled_mm/(1 - settlement_percent/100); "
        "initial_kg_m3 = planned_kg_m2/(planned_initial_mm/1000); "
        "area_m2 = net_volume_m3/(settled_mm/1000); mass_kg = planned_kg_m2 x area_m2"
    ),
    source="mass per area unchanged by settling",
    standing=Standing.DERIVED,
)

LABEL_CHART = Formula(
    code="label_chart",
    expression=(
        "mass_per_area_kg_m2 = max(settled_mm/1000 x settled_kg_m3, lowest_kg_m2); "
        "initial_mm = max(settled_mm/(1 - settlement_percent/100), chart_mm); "
        "initial_kg_m3 = planned_kg_m2/(planned_initial_mm/1000); "
        "area_m2 = net_volume_m3/(settled_mm/1000); mass_kg = planned_kg_m2 x area_m2; "
        "bags_by_chart = ceil(area_m2 x bags_per_100_m2/100)"
    ),
    source="16 CFR 460.12(b)(2) and 460.17",
    standing=Standing.PUBLISHED,
)

MARKERS = Formula(
    code="markers",
    expression="count x ceil(net_area_m2/count/marker_area_m2)",
    source="IECC R303.1.1.1: at least one for every 300 ft2 (28 m2), in each of identical attics by itself",
    standing=Standing.PUBLISHED,
)

FORMULAS = (OPEN_BLOW, LABEL_CHART, MARKERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBlow:
    """What to blow on an open floor, all `count` of them together.

    `initial_mm` and `mass_per_area_kg_m2` are the least that conforms, what is planned is more
    by the `guard` band. `area_m2` is the net area covered: joists and what else displaces
    fill are left out in proportion to the depth they stand in, as label charts do, so that
    `mass_kg` is the planned mass per area times `area_m2`.
    """

    settled_mm: Annotated[Millimetres, "thickness once settled, that of the layers"]
    initial_mm: Annotated[Millimetres, "least thickness as blown"]
    settlement_percent: Annotated[Percent, "how much the fill settles, by its sheet"]
    settled_kg_m3: Annotated[KgPerM3, "density once settled, by the sheet"]
    initial_kg_m3: Annotated[KgPerM3, "density as blown, by what is planned"]
    mass_per_area_kg_m2: Annotated[KgPerM2, "least mass per area"]
    mass_kg: Annotated[Kilograms, "mass to blow"]
    guard: Annotated[Guard, "what is planned above the least, and what that is worth"]
    bags_by_chart: Annotated[int | None, "least bags by the chart's row, at its own settled thickness"]
    label_r: Annotated[float | None, Unit("ft2 h F/Btu"), "R-value of the chart's row, as it is printed"]
    markers: Annotated[int, "thickness markers, by the whole insulated area"]
    area_m2: Annotated[SquareMetres, "net area covered"]
    provenance: Annotated[Provenance, "the rule that thickness and mass follow"]


def open_blow(
    *,
    laid_out: Plane,
    geometry: Geometry,
    material: Material,
    practice: Practice,
    working: Working | None = None,
) -> OpenBlow:
    """Thicknesses, mass and markers of an open blow (OPEN_BLOW, LABEL_CHART, MARKERS).

    The layers' depth is the settled thickness. A `us` profile needs `label_r`.

    Raises InvalidInput at `/element` (the sheet does not say how the material settles),
    `/label_r` (missing, or no such row) or `/layers` (thinner than the row, or too heavy).
    """
    settled_kg_m3, settlement_percent = _settling(material)
    row = _chart_row(laid_out.cavity, material, practice)
    if working and row:
        working.keep(row)
    settled_mm = geometry.depth_mm
    area_m2 = geometry.net_volume_m3 / (settled_mm / 1000)
    initial_mm, mass_per_area_kg_m2 = _least(settled_mm, settled_kg_m3, settlement_percent, row)
    least = (initial_mm, mass_per_area_kg_m2)
    band = _band(laid_out, geometry, material, practice, least, area_m2, working)
    _refuse_overloading(band.planned_initial_mm, band.planned_kg_m2 / (settled_mm / 1000), material)
    return OpenBlow(
        settled_mm=settled_mm,
        initial_mm=initial_mm,
        settlement_percent=settlement_percent,
        settled_kg_m3=settled_kg_m3,
        initial_kg_m3=band.planned_kg_m2 / (band.planned_initial_mm / 1000),
        mass_per_area_kg_m2=mass_per_area_kg_m2,
        mass_kg=band.planned_kg_m2 * area_m2,
        guard=band,
        bags_by_chart=whole(number=area_m2 * row.bags_per_100_m2 / 100) if row else None,
        label_r=row.label_r if row else None,
        markers=markers(area_m2=geometry.net_area_m2, count=laid_out.cavity.count, practice=practice),
        area_m2=area_m2,
        provenance=(LABEL_CHART if row else OPEN_BLOW).provenance,
    )


def _band(
    laid_out: Plane,
    geometry: Geometry,
    material: Material,
    practice: Practice,
    least: tuple[float, float],
    area_m2: float,
    working: Working | None,
) -> Guard:
    return guard(
        laid_out=laid_out,
        geometry=geometry,
        least_mm=least[0],
        least_kg_m2=least[1],
        area_m2=area_m2 / laid_out.cavity.count,
        bag_kg=material.bag_kg,
        practice=practice,
        working=working,
    )


def _least(
    settled_mm: float, settled_kg_m3: float, settlement_percent: float, row: ChartRow | None
) -> tuple[float, float]:
    """The least thickness as blown in mm and the least kg/m2; a row of the chart has the last word."""
    initial_mm = settled_mm / (1 - settlement_percent / 100)
    mass_per_area_kg_m2 = settled_mm / 1000 * settled_kg_m3
    if row is None:
        return initial_mm, mass_per_area_kg_m2
    return max(initial_mm, row.initial_mm), max(mass_per_area_kg_m2, row.lowest_kg_m2)


def markers(*, area_m2: float, count: int, practice: Practice) -> int:
    """Thickness markers of `count` identical cavities that have this area together (MARKERS)."""
    return count * whole(number=area_m2 / count / practice.marker_area_m2)


def bags_differ(*, blow: OpenBlow, bag_kg: float) -> tuple[Message, ...]:
    """Where the bags of the plan are not those of the chart's row: that it is so, with both numbers."""
    planned = whole(number=blow.mass_kg / bag_kg)
    if blow.bags_by_chart is None or planned == blow.bags_by_chart:
        return ()
    return (
        message(
            "plan.bags_differ_from_chart",
            by_chart=blow.bags_by_chart,
            by_plan=planned,
            least=Quantity(blow.mass_per_area_kg_m2, "kg/m2"),
            planned=Quantity(blow.guard.planned_kg_m2, "kg/m2"),
        ),
    )


def _settling(material: Material) -> tuple[float, float]:
    if material.settled_kg_m3 is None or material.settlement_percent is None:
        raise InvalidInput(Fault("/element", message("plan.no_settling", material=material.code)))
    return material.settled_kg_m3, material.settlement_percent


def _chart_row(cavity: Cavity, material: Material, practice: Practice) -> ChartRow | None:
    if cavity.label_r is None and practice.market is not Market.US:
        return None
    row = next((row for row in material.chart if row.label_r == cavity.label_r), None)
    if row is None:
        raise InvalidInput(Fault("/label_r", _no_row(cavity.label_r, material)))
    if cavity.depth_mm < row.settled_mm:
        needed, given = Quantity(row.settled_mm, "mm"), Quantity(cavity.depth_mm, "mm")
        thin = message("plan.thinner_than_row", row=f"R-{row.label_r:g}", needed=needed, given=given)
        raise InvalidInput(Fault("/layers", thin))
    return row


def _no_row(label_r: float | None, material: Material) -> Message:
    rows = tuple(f"R-{row.label_r:g}" for row in material.chart)
    if not rows:
        return message("plan.no_chart", material=material.code)
    if label_r is None:
        return message("plan.row_missing", material=material.code, rows=rows)
    return message("plan.no_such_row", row=f"R-{label_r:g}", material=material.code, rows=rows)


def _refuse_overloading(initial_mm: float, settled_kg_m3: float, material: Material) -> None:
    limit = highest_loading(depth_mm=initial_mm, material=material)
    if limit and settled_kg_m3 > limit.value:
        beyond = message(
            "plan.settled_above_loading",
            settled=Quantity(settled_kg_m3, "kg/m3"),
            limit=Quantity(limit.value, "kg/m3"),
            source=limit.provenance.source,
        )
        raise InvalidInput(Fault("/layers", beyond))
