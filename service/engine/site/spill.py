"""What spilt of each part: vacuumed up, and so not in the walls.

Spill lies on the floor and nobody knows which part it fell from. What was vacuumed up
is shared out by the kilograms of the parts filled on that day. A part's share can be off
by the whole of itself; in the sum of the day, which was weighed, that cancels. An
entry that names the part it came from leaves nothing to be shared out.
"""

from collections.abc import Iterator, Mapping
from math import sqrt

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, Share, rectangular, total
from service.engine.ground.vocabulary import Standing
from service.engine.plan.kilograms import emptied, weighed
from service.engine.site.chains import Filling
from service.engine.site.entries import Reclaimed
from service.engine.site.planned import Basis

SPILL = Formula(
    code="spill_shared_out",
    expression=(
        "reclaimed_kg x blown into the part that day/blown that day, "
        "+- the share itself (rectangular), cancelling in the day's sum"
    ),
    source="nobody sees where spill fell: the widest that a share can be",
    standing=Standing.DERIVED,
)

FORMULAS = (SPILL,)

NAME = "spill shared out"
DUST_KG = 1e-9  # of floating-point arithmetic: a total of what was noted before blew nothing more
CANCELLING = 40  # of more spaces in a day each share is small, and its error may stand alone


def spilt(
    *,
    reclaimed: tuple[Reclaimed, ...],
    fillings: tuple[Filling, ...],
    blown: Mapping[str, Measured],
    basis: Basis,
) -> Mapping[str, Measured]:
    """Kilograms of spill by space (SPILL); `blown` are the kilograms of each filling, by entry.

    What was vacuumed up on a day without filling is of the last day before that had any; where
    there was none before, of the first one after.
    """
    shares: dict[str, list[Measured]] = {}
    for each in reclaimed:
        for space, share in _shared_out(each, fillings, blown, basis):
            shares.setdefault(space, []).append(share)
    return {space: total(each) for space, each in shares.items()}


def vacuumed_up(*, entry: Reclaimed, basis: Basis) -> Measured:
    """Kilograms of an entry of spill, as weighed; a bag of it is one like the offered, within half a bag."""
    if entry.mass_kg is not None:
        return weighed(reading_kg=entry.mass_kg, errors=basis.practice.uncertainties.weighing)
    bags = entry.bags or 0.0
    bag = basis.bag(basis.materials.offered)
    off_kg = rectangular(half=bag.mean.value / 2) if bags else 0.0
    half = Share(name="bag count", of=f"count of {entry.id}", u=off_kg)
    counted = emptied(bags=bags, bag=bag.mean, spread_kg=bag.spread_kg, of=entry.id)
    return total((counted, Measured(value=0.0, shares=(half,))))


def _shared_out(
    entry: Reclaimed, fillings: tuple[Filling, ...], blown: Mapping[str, Measured], basis: Basis
) -> Iterator[tuple[str, Measured]]:
    mass = vacuumed_up(entry=entry, basis=basis)
    by_space: dict[str, float] = {}
    ran = [each for each in fillings if each.entry in blown and blown[each.entry].value > DUST_KG]
    for each in _of_its_day(entry, ran):
        by_space[each.space] = by_space.get(each.space, 0.0) + blown[each.entry].value
    blown_kg = sum(by_space.values())
    if not mass.value or not blown_kg:
        return
    weights = {space: kg / blown_kg for space, kg in by_space.items()}
    for space, weight in weights.items():
        off = tuple(_errors(entry.id, space, weights, mass.value))
        yield space, total((mass.scaled(weight), Measured(value=0.0, shares=off)))


def _of_its_day(entry: Reclaimed, fillings: list[Filling]) -> list[Filling]:
    """The fillings that an entry's spill can be of: a whole day's, by the clock of the site.

    The order inside the day does not matter: a part is said to be done after its spill was swept.
    Where nothing was blown into what is named, it fell from any.
    """
    of = [each for each in fillings if each.fill.cavity in entry.cavities] or fillings
    days = {each.fill.day for each in of}
    before = [day for day in days if day <= entry.day]
    day = max(before) if before else min(days, default=None)
    return [each for each in of if each.fill.day == day]


def _errors(of: str, space: str, weights: Mapping[str, float], mass_kg: float) -> Iterator[Share]:
    """Independent errors of the size of each share, less what they come to together.

    Widened so that of several equal shares each is off by its own size.
    """
    if len(weights) == 1:
        return
    if len(weights) > CANCELLING:
        yield _error(of, space, mass_kg * weights[space])
        return
    wider = sqrt(len(weights) / (len(weights) - 1))
    for other, weight in weights.items():
        factor = (other == space) - weights[space]
        yield _error(of, other, wider * factor * mass_kg * weight)


def _error(of: str, space: str, half_kg: float) -> Share:
    return Share(name=NAME, of=f"spill {of} {space}", u=rectangular(half=half_kg))
