"""How much material: kilograms for a cavity, bags for a job.

Bags are rounded up once, for the whole job; spill is vacuumed up and blown
again, so waste is the contractor's setting and nought unless he says otherwise.
"""

from math import ceil

from service.engine.cavity import Cavity
from service.engine.formula import Formula
from service.engine.geometry import Geometry
from service.engine.practice import Practice
from service.engine.vocabulary import Facing, Standing

BULGE_VOLUME = Formula(
    code="bulge_volume",
    name="Bulge as a parabola between the members",
    expression="2/3 x bulge_mm/1000 x clear bay width x span_m, each bay",
    source="area under a parabola (Archimedes: two thirds of its rectangle)",
    standing=Standing.DERIVED,
)

DENSE_MASS = Formula(
    code="dense_mass",
    name="Volume times target density",
    expression="target_kg_m3 x (net_volume_m3 + bulge_volume_m3)",
    source="definition of density",
    standing=Standing.DERIVED,
)

BAGS = Formula(
    code="bags",
    name="Bags, rounded up once for the job",
    expression="ceil(mass_kg x (1 + waste_percent/100)/bag_kg)",
    source="common practice",
    standing=Standing.COMMON_PRACTICE,
)

FORMULAS = (BULGE_VOLUME, DENSE_MASS, BAGS)


def whole(*, number: float) -> int:
    """The next whole number up; what is only floating-point dust above one adds none."""
    return ceil(round(number, 9))


def expected_bulge_mm(*, facing: Facing, practice: Practice) -> float:
    """How far the practice profile expects this facing to bulge at mid-bay; 0 where it says nothing."""
    return sum(bulge.bulge_mm for bulge in practice.bulges if bulge.facing is facing)


def bulge_volume_m3(*, bulge_mm: float, bay_widths_m: tuple[float, ...], span_m: float) -> float:
    """Volume that a bulging facing adds to bays of these clear widths (BULGE_VOLUME).

    `bulge_mm` is at mid-bay. Openings are not left out: where a bay has one, this
    is a little too much rather than too little material.
    """
    return 2 / 3 * bulge_mm / 1000 * sum(bay_widths_m) * span_m


def dense_mass_kg(*, cavity: Cavity, geometry: Geometry, target_kg_m3: float, practice: Practice) -> float:
    """Mass that fills all `count` cavities to the target density, bulge included (DENSE_MASS)."""
    bulge_m3 = bulge_volume_m3(
        bulge_mm=expected_bulge_mm(facing=cavity.facing, practice=practice),
        bay_widths_m=geometry.bay_widths_m,
        span_m=cavity.span_m,
    )
    return target_kg_m3 * (geometry.net_volume_m3 + cavity.count * bulge_m3)


def bags(*, mass_kg: float, bag_kg: float, waste_percent: float) -> int:
    """Bags for a whole job (BAGS); `bag_kg` is the net mass of one bag."""
    return whole(number=mass_kg * (1 + waste_percent / 100) / bag_kg)
