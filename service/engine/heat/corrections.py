"""What ISO 6946 adds to a U-value for gaps in the insulation and metal through it."""

from service.engine.ground.formula import Formula
from service.engine.ground.messages import message
from service.engine.ground.vocabulary import Standing
from service.engine.survey.cavity import Cavity, Fasteners
from service.errors import Fault, InvalidInput

CORRECTIONS = Formula(
    code="u_value_corrections",
    expression=(
        "(air_gap_w_m2k + 0.8 x conductivity_w_mk x area_mm2/1000000 x per_m2/(depth_mm/1000)) "
        "x (r_fill/(r_fill + others_m2k_w))^2; "
        "air_gap_w_m2k = 0, 0.01 or 0.04 by air_gap_level; left out below 3 % of the U-value"
    ),
    source="ISO 6946, annex F, as a public library of building physics has it",
    standing=Standing.SECOND_HAND,
)

FORMULAS = (CORRECTIONS,)

AIR_GAPS_W_M2K = (0.0, 0.01, 0.04)
FASTENER_FACTOR = 0.8
SMALLEST_SHARE = 0.03


def correction_w_m2k(*, cavity: Cavity, r_fill: float, others: float, plain_u: float) -> float:
    """The correction to a U-value of `plain_u` W/(m2K) (CORRECTIONS); 0 where it would be below 3 % of it.

    `r_fill` is the resistance of the fill and `others` of all else, in m2K/W, both
    without timber. Raises InvalidInput at `/air_gap_level` or in `/fasteners`.
    """
    _refuse(cavity)
    gaps = AIR_GAPS_W_M2K[cavity.air_gap_level]
    metal = _metal_w_m2k(cavity.fasteners, cavity.depth_mm / 1000) if cavity.fasteners else 0.0
    correction = (gaps + metal) * (r_fill / (r_fill + others)) ** 2
    return correction if correction >= SMALLEST_SHARE * plain_u else 0.0


def _metal_w_m2k(fasteners: Fasteners, depth_m: float) -> float:
    section_m2_m2 = fasteners.area_mm2 * 1e-6 * fasteners.per_m2
    return FASTENER_FACTOR * fasteners.conductivity_w_mk * section_m2_m2 / depth_m


def _refuse(cavity: Cavity) -> None:
    faults = []
    if cavity.air_gap_level not in range(len(AIR_GAPS_W_M2K)):
        faults.append(Fault("/air_gap_level", message("heat.air_gap_level")))
    if cavity.fasteners:
        sizes = {
            "conductivity_w_mk": cavity.fasteners.conductivity_w_mk,
            "area_mm2": cavity.fasteners.area_mm2,
            "per_m2": cavity.fasteners.per_m2,
        }
        faults += [
            Fault(f"/fasteners/{field}", message("heat.below_zero"))
            for field, size in sizes.items()
            if size < 0
        ]
    if faults:
        raise InvalidInput(*faults)
