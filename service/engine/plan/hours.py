"""How long the work takes: hours of a crew by the clock, not of each of its people."""

from collections.abc import Iterable

from service.engine.ground.formula import Formula
from service.engine.ground.vocabulary import Standing
from service.engine.survey.rates import MethodRates, Rates

CAVITY_HOURS = Formula(
    code="cavity_hours",
    expression="mass_kg/kg_h + holes x hole_h + patches x patch_h + count x (bays x per_bay_h + move_h)",
    source="sum of the steps of the work, each at the contractor's own rate",
    standing=Standing.DERIVED,
)
JOB_HOURS = Formula(
    code="job_hours",
    expression="set_up_h + sum(hours) + samples x sample_h + cleaning_h",
    source="sum of the steps of the work, each at the contractor's own rate",
    standing=Standing.DERIVED,
)
BLOWING_HOURS = Formula(
    code="blowing_hours",
    expression="sum(hours) - holes x hole_h - patches x patch_h",
    source="holes and patches are charged by the piece, set-up, cleaning and samples each by itself",
    standing=Standing.DERIVED,
)

FORMULAS = (CAVITY_HOURS, JOB_HOURS, BLOWING_HOURS)


def cavity_hours(
    *, mass_kg: float, holes: int, patches: int, bays: int, count: int, method: MethodRates, rates: Rates
) -> float:
    """Hours of the crew for `count` identical cavities, without set-up and cleaning.

    `mass_kg`, `holes` and `patches` are of all of them together, `bays` of one.
    One move is reckoned for each cavity: the hose and whatever the crew stands on.
    """
    blowing_h = mass_kg / method.kg_h
    closing_h = holes * rates.hole_h + patches * rates.patch_h
    return blowing_h + closing_h + count * (bays * method.per_bay_h + rates.move_h)


def job_hours(*, cavities_h: Iterable[float], samples: int, rates: Rates) -> float:
    """Hours of the crew for the whole job: set-up and cleaning come once, `samples` are those taken."""
    return rates.set_up_h + sum(cavities_h) + samples * rates.sample_h + rates.cleaning_h
