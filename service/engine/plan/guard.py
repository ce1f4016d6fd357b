"""The guard band of an open blow: how much more than the least is planned, so that the least is proven.

What is measured of a floor blown exactly to the least lies below it every other time, and a
lower limit conforms only where it is exceeded with probability (JCGM 106). So the plan adds
the firm's factor times the standard uncertainty that the check will have.
"""

from dataclasses import dataclass
from math import ceil, hypot, sqrt
from statistics import NormalDist
from typing import Annotated

from service.engine.geometry.geometry import Geometry
from service.engine.geometry.plane import Plane
from service.engine.geometry.sensitivity import volume_shares
from service.engine.ground.formula import Formula
from service.engine.ground.shapes import KgPerM2, Millimetres, Probability
from service.engine.ground.uncertainty import ENOUGH_READINGS, rectangular, widened
from service.engine.ground.vocabulary import Standing
from service.engine.ground.working import Working
from service.engine.plan.kilograms import by_bags
from service.engine.survey.practice import Practice

GUARD_BAND = Formula(
    code="guard_band",
    expression=(
        "planned_initial_mm = ceil(initial_mm + guard_factor x u_mm); "
        "planned_kg_m2 = ceil((mass_per_area_kg_m2 + guard_factor x u_kg_m2) x area_m2 x 10)/10/area_m2; "
        "u_mm = sqrt(ruler_half_mm^2/3 + widening^2 x evenness_u_mm^2/at_least_depths); "
        "u_kg_m2 = sqrt((emptied_u_kg/area_m2)^2 + (planned_kg_m2 x area_rel_u)^2)"
    ),
    source="guarded acceptance, JCGM 106:2012, clause 8 (clause from memory); the factor is the firm's",
    standing=Standing.DECLARED,
)
FIRST_CHECK = Formula(
    code="first_check",
    expression=(
        "Phi((planned_initial_mm - initial_mm)/u_mm - z) x "
        "Phi((planned_kg_m2 - mass_per_area_kg_m2)/u_kg_m2 - z)"
    ),
    source="two independent normal errors round what was planned; simulated again in the tests",
    standing=Standing.DERIVED,
)

FORMULAS = (GUARD_BAND, FIRST_CHECK)

TENTH_KG = 0.1
SETTLED = 6  # rounds, each changing what is planned by a twentieth of the one before


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """What is planned above the least, by which standard uncertainties, and what that is worth."""

    guard_factor: Annotated[float, "the firm's factor, at least 1.645"]
    u_mm: Annotated[Millimetres, "standard uncertainty that the mean thickness will have"]
    u_kg_m2: Annotated[KgPerM2, "standard uncertainty that the mass per area will have"]
    planned_initial_mm: Annotated[Millimetres, "thickness to blow: the least and its guard band"]
    planned_kg_m2: Annotated[KgPerM2, "mass per area to blow: the least and its guard band"]
    chance: Annotated[Probability, "chance that both conform at the first check"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What the first check is made of; `z` is the least guard: kept for who asks how it came about."""

    widening: float
    emptied_u_kg: float
    area_rel_u: float
    area_m2: float
    z: float


def guard(
    *,
    laid_out: Plane,
    geometry: Geometry,
    least_mm: float,
    least_kg_m2: float,
    area_m2: float,
    bag_kg: float,
    practice: Practice,
    working: Working | None = None,
) -> Guard:
    """The guard band of an open blow (GUARD_BAND, FIRST_CHECK).

    `area_m2` is of one cavity: each of several identical ones proves itself. The uncertainties
    are those that its assessment will find, of what is planned.
    """
    factor = practice.decision.guard_factor
    u_mm = thickness_u_mm(practice=practice)
    area_u = area_rel_u(laid_out=laid_out, geometry=geometry, practice=practice)
    planned_kg_m2, emptied_u_kg, u_kg_m2 = least_kg_m2, 0.0, 0.0
    for _ in range(SETTLED):
        emptied_u_kg = mass_u_kg(mass_kg=planned_kg_m2 * area_m2, bag_kg=bag_kg, practice=practice)
        u_kg_m2 = hypot(emptied_u_kg / area_m2, planned_kg_m2 * area_u)
        planned_kg_m2 = _up((least_kg_m2 + factor * u_kg_m2) * area_m2, to=TENTH_KG) / area_m2
    if working:
        working.keep(
            Checked(
                widening=_widening(practice),
                emptied_u_kg=emptied_u_kg,
                area_rel_u=area_u,
                area_m2=area_m2,
                z=least_guard(practice=practice),
            )
        )
    planned_mm = _up(least_mm + factor * u_mm, to=1.0)
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
    """Standard uncertainty of a mean of as many depths as are asked for: the ruler's is in all of them.

    Readings enough to show their own scatter are few all the same, and Student's t widens it.
    """
    reading = practice.uncertainties.reading
    return hypot(
        rectangular(half=reading.ruler_half_mm),
        _widening(practice) * reading.evenness_u_mm / sqrt(practice.sampling.at_least_depths),
    )


def _widening(practice: Practice) -> float:
    """What the scatter of as many depths is taken times; below enough the declared one stands as it is."""
    depths = practice.sampling.at_least_depths
    return widened(freedom=depths - 1) if depths >= ENOUGH_READINGS else 1.0


def mass_u_kg(*, mass_kg: float, bag_kg: float, practice: Practice) -> float:
    """Standard uncertainty of a mass by bags, nobody having seen what is in the machine before and after."""
    errors = practice.uncertainties.weighing
    return by_bags(bag_kg=bag_kg, errors=errors, unseen_ends=True).u_kg(mass_kg=mass_kg)


def area_rel_u(*, laid_out: Plane, geometry: Geometry, practice: Practice) -> float:
    """Relative standard uncertainty of a floor's area: of its volume, by everything but depth."""
    bays = range(1, geometry.bays + 1)
    shares = volume_shares(laid_out=laid_out, bays=bays, errors=practice.uncertainties.survey)
    area = (share.u for share in shares if share.name != "depth")
    return hypot(*area) / (geometry.net_volume_m3 / laid_out.cavity.count)


def _up(value: float, *, to: float) -> float:
    return ceil(round(value / to, 9)) * to


def least_guard(*, practice: Practice) -> float:
    """How many standard uncertainties above the least a measured value conforms, by the decision rule."""
    return NormalDist().inv_cdf(practice.decision.conforming_from)


def _chance(guarded: float, practice: Practice) -> float:
    return NormalDist().cdf(guarded - least_guard(practice=practice))
