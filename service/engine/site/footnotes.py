"""The rules that an assessment follows besides those that stand beside its figures."""

from collections.abc import Iterator

from service.engine.ground.formula import Formula, Rule
from service.engine.ground.uncertainty import PART_OF_ALL, POOLED_SCATTER, PROPAGATION, RECTANGULAR
from service.engine.plan.kilograms import EMPTIED, IN_MACHINE, READ, UNSEEN
from service.engine.plan.quantities import BULGE_VOLUME
from service.engine.site.chains import CHAIN
from service.engine.site.conformity import CONFORMITY, DECISION_RULE, NORMALISED_ERROR
from service.engine.site.dense import CompartmentFinding
from service.engine.site.findings import CavityFinding
from service.engine.site.spill import NAME as SHARED_OUT
from service.engine.site.spill import SPILL

# What errs in a figure, and the rules that say how much.
OF_ERROR: dict[str, tuple[Formula, ...]] = {
    UNSEEN: (CHAIN, IN_MACHINE),
    EMPTIED: (CHAIN, IN_MACHINE),
    READ: (CHAIN, IN_MACHINE),
    SHARED_OUT: (SPILL,),
    "between bays": (POOLED_SCATTER, PART_OF_ALL),
}


def footnotes(*, cavities: tuple[CavityFinding, ...]) -> tuple[Rule, ...]:
    """Each rule that was followed, once; what was not needed is not named.

    The mean mass of a bag, which every assessment states, is uncertain by the label's or a scale's limits.
    """
    followed = dict.fromkeys((PROPAGATION, RECTANGULAR, *_followed(cavities)))
    return tuple(formula.stated() for formula in followed)


def _followed(cavities: tuple[CavityFinding, ...]) -> Iterator[Formula]:
    spaces = [space for cavity in cavities for space in cavity.compartments]
    if any(map(_judged, cavities)):
        yield CONFORMITY
        yield DECISION_RULE
    if any(space.normalised_error is not None for space in spaces):
        yield NORMALISED_ERROR
    if any(space.bulge_volume_m3 for space in spaces):
        yield BULGE_VOLUME
    known = [each for space in spaces for each in (space.mass_balance, space.by_samples) if each]
    errors = {line.name.code for each in known for line in each.budget}
    for name, formulas in OF_ERROR.items():
        if f"budget.{name.replace(' ', '_')}" in errors:
            yield from formulas


def _judged(cavity: CavityFinding) -> bool:
    open_blow = cavity.open_blow
    return any(map(_known, cavity.compartments)) or bool(
        open_blow and (open_blow.mass_per_area or open_blow.thickness)
    )


def _known(space: CompartmentFinding) -> bool:
    return bool(space.mass_balance or space.by_samples)
