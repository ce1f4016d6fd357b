"""What is known of kilograms before and while they are blown: the scale, bags, what is in machine and hose.

One and the same set of figures says before filling how well a proof will do, and
after it how well one did.
"""

from math import hypot, sqrt
from typing import NamedTuple

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, Share, rectangular, total
from service.engine.ground.vocabulary import Standing
from service.engine.survey.uncertainties import WeighingErrors

LABEL_MASS = Formula(
    code="label_mass",
    expression="bag_kg x (1 + bag_over_label_rel), within +- bag_kg x bag_over_label_rel (rectangular)",
    source="a label states the minimum net weight (16 CFR 460.12(b)(2)); how far above is declared",
    standing=Standing.DECLARED,
)
IN_MACHINE = Formula(
    code="in_machine",
    expression=(
        "0 +- run_empty_half_kg where it was run empty; hopper_kg +- hopper_half_kg where it was read; "
        "else half a bag +- half a bag (rectangular)"
    ),
    source="a bag is emptied whole into a hopper that is never seen empty",
    standing=Standing.DERIVED,
)

FORMULAS = (LABEL_MASS, IN_MACHINE)

UNSEEN, EMPTIED, READ = "left in the machine", "machine run empty", "hopper reading"
BAG = "bag mass"


def label_bag(*, bag_kg: float, errors: WeighingErrors, of: str = BAG) -> Measured:
    """The mean bag in kilograms by its label, a minimum (LABEL_MASS); one error for all bags `of` it."""
    over_kg = bag_kg * errors.bag_over_label_rel
    share = Share(name=BAG, of=of, u=rectangular(half=over_kg))
    return Measured(value=bag_kg + over_kg, shares=(share,))


def weighed(*, reading_kg: float, errors: WeighingErrors) -> Measured:
    """A mass read off the scale, in kilograms; all readings of the job share the scale's error."""
    share = Share(name="scale", of="scale", u=rectangular(half=errors.scale_half_kg))
    return Measured(value=reading_kg, shares=(share,))


def emptied(*, bags: float, bag: Measured, spread_kg: float, of: str) -> Measured:
    """The mass of emptied bags in kilograms: the mean bag's error is common, the spread is each bag's own."""
    spread = Share("bag spread", f"spread of {of}", spread_kg * sqrt(bags))
    mean = bag.scaled(bags)
    return Measured(mean.value, (*mean.shares, spread))


def run_empty(*, errors: WeighingErrors, of: str) -> Measured:
    """What is left in a machine that was run empty, in kilograms (IN_MACHINE)."""
    return _held(EMPTIED, 0.0, errors.run_empty_half_kg, of)


def hopper(*, reading_kg: float, errors: WeighingErrors, of: str) -> Measured:
    """What is left in a machine whose hopper was read, in kilograms (IN_MACHINE)."""
    return _held(READ, reading_kg, errors.hopper_half_kg, of)


def unseen(*, bag_kg: float, of: str, visits: int = 1) -> Measured:
    """What is left in a machine that nobody looked into, in kilograms (IN_MACHINE).

    Where one note stands for several visits to a part, the mean of as many, each by itself.
    """
    return _held(UNSEEN, bag_kg / 2, bag_kg / 2 * sqrt(visits), of)


class ByBags(NamedTuple):
    """How well masses are known by bags as labelled, in kg.

    The mean bag and its standard uncertainty, the spread from bag to bag, and the standard
    uncertainty of what is in the machine before and after, both together.
    """

    bag_kg: float
    bag_u_kg: float
    spread_kg: float
    ends_u_kg: float

    def u_kg(self, *, mass_kg: float) -> float:
        """Standard uncertainty of a mass as its own fills would know it, somewhere in the middle of a job."""
        bags = mass_kg / self.bag_kg
        return hypot(bags * self.bag_u_kg, sqrt(bags) * self.spread_kg, self.ends_u_kg)


def by_bags(*, bag_kg: float, errors: WeighingErrors, unseen_ends: bool) -> ByBags:
    """By bags as labelled; what is in the machine before and after is unseen, or it was run empty."""
    bag = label_bag(bag_kg=bag_kg, errors=errors)
    ends = (
        unseen(bag_kg=bag.value, of=of) if unseen_ends else run_empty(errors=errors, of=of)
        for of in ("before", "after")
    )
    return ByBags(
        bag_kg=bag.value,
        bag_u_kg=bag.u,
        spread_kg=errors.bag_spread_rel_u * bag_kg,
        ends_u_kg=total(ends).u,
    )


def _held(name: str, value: float, half: float, of: str) -> Measured:
    share = Share(name=name, of=f"in the machine {of}", u=rectangular(half=half))
    return Measured(value=value, shares=(share,))
