"""The guard band of an open blow: how much more than the least is planned, so that the least is proven.

What is measured of a floor blown exactly to the least lies below it every other time, and a
lower limit conforms only where it is exceeded with probability (JCGM 106). So the plan adds
the firm's factor times the standard uncertainty that the check will have.
"""

from dataclasses import dataclass
from math import ceil, hypot, sqrt
from statistics import NormalDist
from typing import Annotated

from service.engine.ground.formula import Formula
from service.engine.ground.shapes import KgPerM2, Millimetres, Probability
from service.engine.ground.uncertainty import rectangular
from service.engine.ground.vocabulary import Standing
from service.engine.survey.cavity import Cavity
from service.engine.survey.practice import Practice
from service.engine.survey.uncertainties import SizeErrors

GUARD_BAND = Formula(
    code="guard_band",
    name="Guard band above the least",
    expression=(
        "planned_initial_mm = ceil(initial_mm + guard_factor x u_mm); "
        "planned_kg_m2 = ceil((mass_per_area_kg_m2 + guard_factor x u_kg_m2) x area_m2 x 10)/10/area_m2; "
        "u_mm = sqrt(ruler_half_mm^2/3 + evenness_u_mm^2/at_least_depths); "
        "u_kg_m2 = sqrt((emptied_u_kg/area_m2)^2 + (mass_per_area_kg_m2 x area_rel_u)^2)"
    ),
    source="guarded acceptance, JCGM 106:2012, clause 8 (clause from memory); the factor is the firm's",
    standing=Standing.DECLARED,
)
FIRST_CHECK = Formula(
    code="first_check",
    name="Chance that both conform at the first check",
    expression=(
        "Phi((planned_initial_mm - initial_mm)/u_mm - z) x "
        "Phi((planned_kg_m2 - mass_per_area_kg_m2)/u_kg_m2 - z)"
    ),
    source="two independent normal errors round what was planned; simulated again in the tests",
    standing=Standing.DERIVED,
)

FORMULAS = (GUARD_BAND, FIRST_CHECK)

TENTH_KG = 0.1


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """What is planned above the least, by which standard uncertainties, and what that is worth."""

    guard_factor: Annotated[float, "the firm's factor, at least 1.645"]
    u_mm: Annotated[Millimetres, "standard uncertainty that the mean thickness will have"]
    u_kg_m2: Annotated[KgPerM2, "standard uncertainty that the mass per area will have"]
    planned_initial_mm: Annotated[Millimetres, "thickness to blow: the least and its guard band"]
    planned_kg_m2: Annotated[KgPerM2, "mass per area to blow: the least and its guard band"]
    chance: Annotated[Probability, "chance that both conform at the first check"]


def guard(
    *,
    cavity: Cavity,
    least_mm: float,
    least_kg_m2: float,
    area_m2: float,
    bag_kg: float,
    practice: Practice,
) -> Guard:
    """The guard band of an open blow (GUARD_BAND, FIRST_CHECK).

    `area_m2` is of one cavity: each of several identical ones proves itself.
    """
    factor = practice.decision.guard_factor
    u_mm = thickness_u_mm(practice=practice)
    emptied_u_kg = mass_u_kg(mass_kg=least_kg_m2 * area_m2, bag_kg=bag_kg, practice=practice)
    u_kg_m2 = hypot(emptied_u_kg / area_m2, least_kg_m2 * area_rel_u(cavity=cavity, practice=practice))
    planned_mm = _up(least_mm + factor * u_mm, to=1.0)
    planned_kg_m2 = _up((least_kg_m2 + factor * u_kg_m2) * area_m2, to=TENTH_KG) / area_m2
    return Guard(
        guard_factor=factor,
        u_mm=u_mm,
        u_kg_m2=u_kg_m2,
        planned_initial_mm=planned_mm,
        planned_kg_m2=planned_kg_m2,
        chance=_chance((planned_mm - least_mm) / u_mm, practice)
        * _chance((planned_kg_m2 - least_kg_m2) / u_kg_m2, practice),
    )


def thickness_u_mm(*, practice: Practice) -> float:
    """Standard uncertainty of a mean of as many depths as are asked for: the ruler's is in all of them."""
    reading = practice.uncertainties.reading
    return hypot(
        rectangular(half=reading.ruler_half_mm),
        reading.evenness_u_mm / sqrt(practice.sampling.at_least_depths),
    )


def mass_u_kg(*, mass_kg: float, bag_kg: float, practice: Practice) -> float:
    """Standard uncertainty of a mass by bags: scale, label, from bag to bag, machine at both ends."""
    weighing = practice.uncertainties.weighing
    return hypot(
        rectangular(half=weighing.scale_half_kg),
        mass_kg * rectangular(half=weighing.bag_over_label_rel) / (1 + weighing.bag_over_label_rel),
        weighing.bag_spread_rel_u * sqrt(mass_kg * bag_kg),
        sqrt(2) * rectangular(half=weighing.run_empty_half_kg),
    )


def area_rel_u(*, cavity: Cavity, practice: Practice) -> float:
    """Relative standard uncertainty of a floor's area, by its width, span and openings.

    Joists displace too little to be seen here.
    """
    half: SizeErrors = practice.uncertainties.survey.of(surveyed=cavity.surveyed)
    sides = hypot(half.width_mm / cavity.width_m, half.span_mm / cavity.span_m)
    openings = (each.count * hypot(each.width_m, each.height_m) * half.opening_mm for each in cavity.openings)
    return (
        rectangular(half=hypot(sides, *(each / cavity.width_m / cavity.span_m for each in openings))) / 1000
    )


def _up(value: float, *, to: float) -> float:
    return ceil(round(value / to, 9)) * to


def least_guard(*, practice: Practice) -> float:
    """How many standard uncertainties above the least a measured value conforms, by the decision rule."""
    return NormalDist().inv_cdf(practice.decision.conforming_from)


def _chance(guarded: float, practice: Practice) -> float:
    return NormalDist().cdf(guarded - least_guard(practice=practice))
