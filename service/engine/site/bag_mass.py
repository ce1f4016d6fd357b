"""What a bag weighs: by weighed bags, or else by the label."""

from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Annotated

from service.engine.ground.formula import Provenance
from service.engine.ground.messages import Message, message
from service.engine.ground.shapes import Kilograms
from service.engine.ground.uncertainty import ENOUGH_READINGS, TYPE_A, Measured, Share, mean_u
from service.engine.plan.kilograms import LABEL_MASS, label_bag, weighed
from service.engine.survey.practice import Material
from service.engine.survey.uncertainties import WeighingErrors


@dataclass(frozen=True, slots=True, kw_only=True)
class BagMass:
    """The mean net mass of a bag in kilograms and how it is known.

    `weighed` counts the bags weighed. `spread_kg` is their standard deviation, the
    firm's declared one where too few were weighed.
    """

    mean_kg: Annotated[Kilograms, "mean net mass of a bag"]
    u_kg: Annotated[Kilograms, "its standard uncertainty"]
    expanded_u_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    weighed: Annotated[int, "bags weighed one by one"]
    spread_kg: Annotated[Kilograms, "standard deviation from bag to bag, seen or declared"]
    note: Annotated[Message | None, "what to know about it"]
    provenance: Annotated[Provenance, "where the figure comes from"]


def mean_bag(*, masses_kg: tuple[float, ...], material: Material, errors: WeighingErrors) -> Measured:
    """The mean mass of a bag in kilograms, with what is common to all bags of the job.

    The mean of the bags that were weighed, with their scatter and the scale's error; without
    any the label (LABEL_MASS).
    """
    if not masses_kg:
        return label_bag(bag_kg=material.bag_kg, errors=errors)
    u = mean_u(readings=masses_kg, declared=errors.bag_spread_rel_u * material.bag_kg)
    mean = weighed(reading_kg=fmean(masses_kg), errors=errors)
    return Measured(value=mean.value, shares=(Share(name="bag mass", of="bag mass", u=u), *mean.shares))


def spread_kg(*, masses_kg: tuple[float, ...], material: Material, errors: WeighingErrors) -> float:
    """Standard deviation from bag to bag; the firm's declared one where too few bags show it."""
    if len(masses_kg) >= ENOUGH_READINGS:
        return stdev(masses_kg)
    return errors.bag_spread_rel_u * material.bag_kg


def bag_mass(*, masses_kg: tuple[float, ...], material: Material, errors: WeighingErrors) -> BagMass:
    """`mean_bag` and `spread_kg` as an assessment states them."""
    mean = mean_bag(masses_kg=masses_kg, material=material, errors=errors)
    formula = TYPE_A if masses_kg else LABEL_MASS
    return BagMass(
        mean_kg=mean.value,
        u_kg=mean.u,
        expanded_u_kg=mean.expanded_u,
        weighed=len(masses_kg),
        spread_kg=spread_kg(masses_kg=masses_kg, material=material, errors=errors),
        note=None if masses_kg else message("site.bags_not_weighed"),
        provenance=formula.provenance,
    )
