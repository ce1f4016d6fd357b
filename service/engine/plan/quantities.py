"""How much material: kilograms for a cavity, bags for a job.

Bags are rounded up once, for the whole job; spill is vacuumed up and blown
again, so waste is the contractor's setting and nought unless he says otherwise.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil

from service.engine.geometry.areas import face_m2
from service.engine.geometry.compartments import Part
from service.engine.geometry.geometry import Geometry
from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Element, Facing, Method, Standing
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice

BULGE_VOLUME = Formula(
    code="bulge_volume",
    expression="5/9 x bulge_mm/1000 x clear area of the facing between the timbers",
    source=(
        "parabolas: held along two sides 2/3 of bulge times area (Archimedes), held on four sides 4/9; "
        "5/9 lies midway, within 1/9"
    ),
    standing=Standing.DERIVED,
)

DENSE_MASS = Formula(
    code="dense_mass",
    expression="target_kg_m3 x (net_volume_m3 + bulge_volume_m3)",
    source="definition of density",
    standing=Standing.DERIVED,
)

BAGS = Formula(
    code="bags",
    expression="ceil(mass_kg x (1 + waste_percent/100)/bag_kg)",
    source="common practice",
    standing=Standing.COMMON_PRACTICE,
)

# Midway between a facing held on four sides, 4/9, and a long bay's, 2/3: within 1/9 either way.
BULGE_FACTOR = 5 / 9
BULGE_FACTOR_HALF = 1 / 9

FORMULAS = (BULGE_VOLUME, DENSE_MASS, BAGS)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bulging:
    """What the expected bulge adds to all `count` cavities, for who asks how their mass came about."""

    volume_m3: float


def whole(*, number: float) -> int:
    """The next whole number up; what is only floating-point dust above one adds none."""
    return ceil(round(number, 9))


def expected_bulge_mm(*, facing: Facing, practice: Practice) -> float:
    """How far the practice profile expects this facing to bulge at mid-bay; 0 where it says nothing."""
    return sum([bulge.bulge_mm for bulge in practice.bulges if bulge.facing is facing])


def clear_facing_m2(*, cavity: Cavity, parts: Iterable[Part]) -> float:
    """Area of the facing between the timbers of these parts, of one of the identical cavities.

    Openings are left out: those that have a place where they are, the others in
    proportion. Of an open layer alone it is the whole area less openings.
    """
    return sum([part.area_m2 for part in parts]) * facing_share(cavity=cavity)


def bulging_m2(*, cavity: Cavity, parts: Iterable[Part], practice: Practice) -> dict[int, float]:
    """The same by bay, of a facing that is expected to bulge; nothing of any other."""
    if not expected_bulge_mm(facing=cavity.facing, practice=practice):
        return {}
    share = facing_share(cavity=cavity)
    clear_m2: dict[int, float] = {}
    for part in parts:
        clear_m2[part[0]] = clear_m2.get(part[0], 0.0) + part.area_m2 * share
    return clear_m2


def facing_share(*, cavity: Cavity) -> float:
    """What openings without a place leave of the area between the timbers, as a share of it."""
    without_place_m2 = sum([each.area_m2 for each in cavity.openings if not each.is_placed])
    return 1 - without_place_m2 / face_m2(cavity=cavity)


def bulge_volume_m3(*, bulge_mm: float, facing_m2: float) -> float:
    """Volume that a facing adds that bulges by `bulge_mm` in the middle of its bays (BULGE_VOLUME)."""
    return BULGE_FACTOR * bulge_mm / 1000 * facing_m2


def expected_bulge_m3(*, cavity: Cavity, facing_m2: Mapping[int, float], practice: Practice) -> float:
    """Volume that the expected bulge adds to all `count` cavities; `facing_m2` bulges in the bays of one."""
    bulge_mm = expected_bulge_mm(facing=cavity.facing, practice=practice)
    return cavity.count * bulge_volume_m3(bulge_mm=bulge_mm, facing_m2=sum(facing_m2.values()))


def filled_volume_m3(
    *, cavity: Cavity, geometry: Geometry, parts: Iterable[Part], practice: Practice
) -> float:
    """Volume of a dense fill in all `count` cavities, the expected bulge included; `parts` are of one."""
    facing_m2 = bulging_m2(cavity=cavity, parts=parts, practice=practice)
    return geometry.net_volume_m3 + expected_bulge_m3(cavity=cavity, facing_m2=facing_m2, practice=practice)


def dense_mass_kg(*, target_kg_m3: float, filled_m3: float) -> float:
    """Mass that fills a volume to the target density (DENSE_MASS)."""
    return target_kg_m3 * filled_m3


def ordered_of_planned(*, element: Element, method: Method, practice: Practice) -> float:
    """How much is ordered of a planned mass: what the firm's parts took of theirs, where it adopted that."""
    for each in practice.experience:
        if each.element is element and each.method is method:
            return each.median
    return 1.0


def bags(*, mass_kg: float, bag_kg: float, waste_percent: float) -> int:
    """Bags for a whole job (BAGS); `bag_kg` is the net mass of one bag."""
    return whole(number=bags_taken(mass_kg=mass_kg, bag_kg=bag_kg, waste_percent=waste_percent))


def bags_taken(*, mass_kg: float, bag_kg: float, waste_percent: float) -> float:
    """Bags that a mass takes with its waste, not rounded up: what a part has in the job's (BAGS)."""
    return mass_kg * (1 + waste_percent / 100) / bag_kg
