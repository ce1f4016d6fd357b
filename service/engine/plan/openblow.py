"""Open blow: loose fill on an open floor, measured by settled thickness and mass per area.

There is no target density. The fill settles to the thickness of the layers, so it is
blown thicker by what it will settle; the mass per area stays the same. Where a row of
the label chart is asked for, it has the last word on thickness, mass and bags: an R per
inch is never multiplied by inches (16 CFR 460.17).
"""

from dataclasses import dataclass

from service.engine.geometry.geometry import Geometry
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Market, Standing
from service.engine.plan.density import highest_loading
from service.engine.plan.quantities import whole
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import ChartRow, Material, Practice
from service.errors import Fault, InvalidInput

OPEN_BLOW = Formula(
    code="open_blow",
    name="Settled thickness times settled density",
    expression=(
        "mass_per_area_kg_m2 = settled_mm/1000 x settled_kg_m3; "
        "initial_mm = settled_mm/(1 - settlement_percent/100); "
        "initial_kg_m3 = mass_per_area_kg_m2/(initial_mm/1000); "
        "area_m2 = net_volume_m3/(settled_mm/1000); mass_kg = mass_per_area_kg_m2 x area_m2"
    ),
    source="mass per area unchanged by settling",
    standing=Standing.DERIVED,
)

LABEL_CHART = Formula(
    code="label_chart",
    name="Row of the label chart",
    expression=(
        "mass_per_area_kg_m2 = max(settled_mm/1000 x settled_kg_m3, lowest_kg_m2); "
        "initial_mm = max(settled_mm/(1 - settlement_percent/100), chart_mm); "
        "initial_kg_m3 = mass_per_area_kg_m2/(initial_mm/1000); "
        "area_m2 = net_volume_m3/(settled_mm/1000); mass_kg = mass_per_area_kg_m2 x area_m2; "
        "bags_by_chart = ceil(area_m2 x bags_per_100_m2/100)"
    ),
    source="16 CFR 460.12(b)(2) and 460.17",
    standing=Standing.PUBLISHED,
)

MARKERS = Formula(
    code="markers",
    name="Thickness markers",
    expression="ceil(net_area_m2/marker_area_m2)",
    source="IECC R303.1.1.1: at least one for every 300 ft2 (28 m2)",
    standing=Standing.PUBLISHED,
)

FORMULAS = (OPEN_BLOW, LABEL_CHART, MARKERS)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenBlow:
    """What to blow on an open floor, all `count` of them together.

    `area_m2` is the net area covered: joists and what else displaces fill are left out in
    proportion to the depth they stand in, as label charts do, so that `mass_kg` is
    `mass_per_area_kg_m2` times `area_m2`. `bags_by_chart` is the least that the chart's row
    allows, at its own settled thickness. `markers` go by the whole insulated area.
    """

    settled_mm: float
    initial_mm: float
    settlement_percent: float
    settled_kg_m3: float
    initial_kg_m3: float
    mass_per_area_kg_m2: float
    mass_kg: float
    bags_by_chart: int | None
    label_r: float | None
    markers: int
    area_m2: float
    rule: str
    source: str
    standing: Standing


def open_blow(*, cavity: Cavity, geometry: Geometry, material: Material, practice: Practice) -> OpenBlow:
    """Thicknesses, mass and markers of an open blow (OPEN_BLOW, LABEL_CHART, MARKERS).

    The layers' depth is the settled thickness. A `us` profile needs `label_r`.

    Raises InvalidInput at `/element` (the sheet does not say how the material settles),
    `/label_r` (missing, or no such row) or `/layers` (less than the row's settled
    thickness, or beyond the highest loading).
    """
    settled_kg_m3, settlement_percent = _settling(material)
    row = _chart_row(cavity, material, practice)
    settled_mm = geometry.depth_mm
    initial_mm = settled_mm / (1 - settlement_percent / 100)
    mass_per_area_kg_m2 = settled_mm / 1000 * settled_kg_m3
    area_m2 = geometry.net_volume_m3 / (settled_mm / 1000)
    if row:
        initial_mm = max(initial_mm, row.initial_mm)
        mass_per_area_kg_m2 = max(mass_per_area_kg_m2, row.lowest_kg_m2)
    _refuse_overloading(initial_mm, mass_per_area_kg_m2 / (settled_mm / 1000), material)
    formula = LABEL_CHART if row else OPEN_BLOW
    return OpenBlow(
        settled_mm=settled_mm,
        initial_mm=initial_mm,
        settlement_percent=settlement_percent,
        settled_kg_m3=settled_kg_m3,
        initial_kg_m3=mass_per_area_kg_m2 / (initial_mm / 1000),
        mass_per_area_kg_m2=mass_per_area_kg_m2,
        mass_kg=mass_per_area_kg_m2 * area_m2,
        bags_by_chart=whole(number=area_m2 * row.bags_per_100_m2 / 100) if row else None,
        label_r=row.label_r if row else None,
        markers=whole(number=geometry.net_area_m2 / practice.marker_area_m2),
        area_m2=area_m2,
        rule=formula.name,
        source=formula.source,
        standing=formula.standing,
    )


def _settling(material: Material) -> tuple[float, float]:
    if material.settled_kg_m3 is None or material.settlement_percent is None:
        raise InvalidInput(
            Fault(
                "/element",
                f"The data sheet of {material.code} does not give the settled density and settlement "
                "that an open blow needs.",
            )
        )
    return material.settled_kg_m3, material.settlement_percent


def _chart_row(cavity: Cavity, material: Material, practice: Practice) -> ChartRow | None:
    if cavity.label_r is None and practice.market is not Market.US:
        return None
    row = next((row for row in material.chart if row.label_r == cavity.label_r), None)
    if row is None:
        asked = "An open blow needs a row" if cavity.label_r is None else f"R-{cavity.label_r:g} is no row"
        rows = ", ".join(f"R-{row.label_r:g}" for row in material.chart) or "none"
        raise InvalidInput(
            Fault("/label_r", f"{asked} of the label chart of {material.code}; it has: {rows}.")
        )
    if cavity.depth_mm < row.settled_mm:
        raise InvalidInput(
            Fault(
                "/layers",
                f"R-{row.label_r:g} needs a settled thickness of {row.settled_mm:g} mm; "
                f"these layers are {cavity.depth_mm:g} mm.",
            )
        )
    return row


def _refuse_overloading(initial_mm: float, settled_kg_m3: float, material: Material) -> None:
    limit = highest_loading(depth_mm=initial_mm, material=material)
    if limit and settled_kg_m3 > limit.value:
        raise InvalidInput(
            Fault(
                "/layers",
                f"{settled_kg_m3:.6g} kg/m3 settled is above the highest loading at this thickness, "
                f"{limit.value:g} kg/m3 ({limit.source}).",
            )
        )
