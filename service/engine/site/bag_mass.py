"""What a bag weighs: by weighed bags, or else by the label; of each material by itself."""

from dataclasses import dataclass
from statistics import fmean, stdev
from typing import Annotated

from service.engine.ground.formula import Provenance
from service.engine.ground.messages import Message, message
from service.engine.ground.shapes import Kilograms
from service.engine.ground.uncertainty import (
    ENOUGH_READINGS,
    RECTANGULAR,
    TYPE_A,
    Measured,
    Share,
    mean_u,
    rectangular,
)
from service.engine.plan.kilograms import BAG, LABEL_MASS, label_bag, weighed
from service.engine.site.entries import BagCheck
from service.engine.site.ledger import Ledger
from service.engine.site.materials import Materials
from service.engine.site.planned import Bag
from service.engine.survey.practice import Material
from service.engine.survey.uncertainties import WeighingErrors


@dataclass(frozen=True, slots=True, kw_only=True)
class BagMass:
    """The mean net mass of a material's bag in kilograms and how it is known.

    `weighed` counts the bags weighed. `spread_kg` is their standard deviation, the
    firm's declared one where too few were weighed.
    """

    material: Annotated[str, "code of the material"]
    mean_kg: Annotated[Kilograms, "mean net mass of a bag"]
    u_kg: Annotated[Kilograms, "its standard uncertainty"]
    expanded_u_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    weighed: Annotated[int, "bags weighed one by one"]
    spread_kg: Annotated[Kilograms, "standard deviation from bag to bag, seen or declared"]
    note: Annotated[Message | None, "what to know about it"]
    provenance: Annotated[Provenance, "where the figure comes from"]


def readings_kg(*, ledger: Ledger, materials: Materials, of: str) -> tuple[float, ...]:
    """The masses of all bags of a material that were weighed one by one.

    Where several materials came, bags that were weighed without their lot are of none.
    """
    return tuple(
        mass for check in ledger.of(BagCheck) if materials.of(check.lot) == of for mass in check.masses_kg
    )


def bag(*, masses_kg: tuple[float, ...], code: str, material: Material, errors: WeighingErrors) -> Bag:
    """What a bag of the material `code` weighs; `material` is the sheet of the offered one.

    The mean of the bags that were weighed, with their scatter and the scale's error; without
    any the label (LABEL_MASS). The label of what was not offered nobody knows: its bags
    hold anything from nothing to twice what the offered hold, until some are weighed.
    """
    return Bag(
        mean=_mean(masses_kg, code, material, errors),
        spread_kg=stdev(masses_kg)
        if len(masses_kg) >= ENOUGH_READINGS
        else errors.bag_spread_rel_u * material.bag_kg,
    )


def _mean(masses_kg: tuple[float, ...], code: str, material: Material, errors: WeighingErrors) -> Measured:
    of = f"{BAG} {code}"
    if masses_kg:
        u = mean_u(readings=masses_kg, declared=errors.bag_spread_rel_u * material.bag_kg)
        mean = weighed(reading_kg=fmean(masses_kg), errors=errors)
        return Measured(value=mean.value, shares=(Share(name=BAG, of=of, u=u), *mean.shares))
    if code == material.code:
        return label_bag(bag_kg=material.bag_kg, errors=errors, of=of)
    anything = Share(name=BAG, of=of, u=rectangular(half=material.bag_kg))
    return Measured(value=material.bag_kg, shares=(anything,))


def bag_masses(
    *, ledger: Ledger, materials: Materials, material: Material, errors: WeighingErrors
) -> tuple[BagMass, ...]:
    """`bag` of each material that came, or of the offered one, as an assessment states it."""
    return tuple(
        _bag_mass(code, readings_kg(ledger=ledger, materials=materials, of=code), material, errors)
        for code in sorted(materials.came) or (materials.offered,)
    )


def _bag_mass(code: str, masses_kg: tuple[float, ...], material: Material, errors: WeighingErrors) -> BagMass:
    found = bag(masses_kg=masses_kg, code=code, material=material, errors=errors)
    formula = TYPE_A if masses_kg else LABEL_MASS if code == material.code else RECTANGULAR
    unweighed = "site.bags_not_weighed" if code == material.code else "site.bags_of_unknown_mass"
    return BagMass(
        material=code,
        mean_kg=found.mean.value,
        u_kg=found.mean.u,
        expanded_u_kg=found.mean.expanded_u,
        weighed=len(masses_kg),
        spread_kg=found.spread_kg,
        note=None if masses_kg else message(unweighed),
        provenance=formula.provenance,
    )
