"""What a bag weighs, from weighed bags or else from the label, and what counted bags weigh."""

from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import TYPE_A, Measured, Share, rectangular, total, type_a
from service.engine.ground.vocabulary import Standing
from service.engine.site.entries import BagCheck
from service.engine.survey.practice import Material
from service.engine.survey.uncertainties import Uncertainties

LABEL_MASS = Formula(
    code="label_mass",
    name="Bag mass from the label",
    expression="bag_kg, within +- bag_label_rel_half (rectangular)",
    source="the label's minimum net weight (16 CFR 460.12(b)(2) has it stated)",
    standing=Standing.DECLARED,
)

FORMULAS = (LABEL_MASS,)


@dataclass(frozen=True, slots=True, kw_only=True)
class BagMass:
    """The mean net mass of a bag in kilograms and how it is known.

    `weighed` counts the bags weighed. `spread_kg` is their standard deviation,
    None where fewer than two were weighed.
    """

    mean_kg: float
    u_kg: float
    expanded_u_kg: float
    weighed: int
    spread_kg: float | None
    note: str
    rule: str
    source: str
    standing: Standing


def mean_bag(*, checks: tuple[BagCheck, ...], material: Material, uncertainties: Uncertainties) -> Measured:
    """The mean mass of a bag in kilograms, with what is common to all bags of the job.

    At least two weighed bags: their mean, with TYPE_A and the scale. Else the
    label (LABEL_MASS): it is a minimum, so a density found with it may be too low;
    nothing is added for that, because nobody knows how much.
    """
    masses = _readings(checks)
    if len(masses) < 2:
        u = rectangular(half=material.bag_kg * uncertainties.bag_label_rel_half)
        return Measured(value=material.bag_kg, shares=(Share(name="bag mass", of="bag mass", u=u),))
    share = Share(name="bag mass", of="bag mass", u=type_a(readings=masses))
    mean = weighed(reading_kg=fmean(masses), uncertainties=uncertainties)
    return Measured(value=mean.value, shares=(share, *mean.shares))


def spread_kg(*, checks: tuple[BagCheck, ...]) -> float:
    """Standard deviation from bag to bag; 0 where fewer than two bags were weighed.

    The label's half-width stands for the spread as well.
    """
    masses = _readings(checks)
    return stdev(masses) if len(masses) > 1 else 0.0


def weighed(*, reading_kg: float, uncertainties: Uncertainties) -> Measured:
    """A mass read off the scale, in kilograms; all readings of the job share the scale's error."""
    u = rectangular(half=uncertainties.scale_half_kg)
    return Measured(value=reading_kg, shares=(Share(name="scale", of="scale", u=u),))


def counted(*, bags: float, count_half: float, bag: Measured, spread_kg: float, of: str) -> Measured:
    """The mass of counted bags in kilograms.

    They share the error of the mean bag with all other bags. The count `of` this
    has an error of its own, up to `count_half` bags, and bags differ by `spread_kg`.
    """
    own = (
        Share(name="bag count", of=f"count of {of}", u=bag.value * rectangular(half=count_half)),
        Share(name="bag spread", of=f"spread of {of}", u=spread_kg * sqrt(bags)),
    )
    return total((bag.scaled(bags), Measured(value=0.0, shares=own)))


def bag_mass(*, checks: tuple[BagCheck, ...], material: Material, uncertainties: Uncertainties) -> BagMass:
    """`mean_bag` and `spread_kg` as an assessment states them."""
    mean = mean_bag(checks=checks, material=material, uncertainties=uncertainties)
    readings = len(_readings(checks))
    formula = TYPE_A if readings > 1 else LABEL_MASS
    return BagMass(
        mean_kg=mean.value,
        u_kg=mean.u,
        expanded_u_kg=mean.expanded_u,
        weighed=readings,
        spread_kg=spread_kg(checks=checks) if readings > 1 else None,
        note=_note(readings),
        rule=formula.name,
        source=formula.source,
        standing=formula.standing,
    )


def _readings(checks: tuple[BagCheck, ...]) -> tuple[float, ...]:
    return tuple(mass for check in checks for mass in check.masses_kg)


def _note(readings: int) -> str:
    if readings > 1:
        return ""
    one = "One weighed bag says nothing of the spread. " if readings else ""
    return (
        f"{one}The mass on the label is a minimum: bags are often heavier, and the fill denser than "
        "it seems. Weigh some bags."
    )
