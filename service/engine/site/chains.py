"""Kilograms that left the hose: what was emptied, and what machine and hose held before and after.

A bag is emptied into a hopper that is hardly ever seen empty. What one fill leaves
there goes into the next: along a chain of fills of one machine and one material the
same unknown is added to one fill and taken from its neighbour, and cancels in their
sum. A chain begins empty with the job and at a change of material, and ends empty
where the material left over was counted; it runs on overnight and across lots.
Where nobody knows in which order the fills were made, or on which machine, each fill
has two unknowns of its own.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby, pairwise

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, total
from service.engine.ground.vocabulary import Standing
from service.engine.plan.kilograms import emptied, hopper, run_empty, unseen, weighed
from service.engine.site.entries import Fill
from service.engine.site.planned import Basis

CHAIN = Formula(
    code="chain_of_fills",
    expression="emptied_kg + in the machine before - in the machine after",
    source="balance of mass of one machine and one material, in the order of what happened",
    standing=Standing.DERIVED,
)

FORMULAS = (CHAIN,)

SURELY = 2.0  # nobody blows more than twice as fast as the firm's own rates say


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """A fill and what is known of its place in a chain.

    `space` is what is balanced as one. `visits`: how often the machine came back to it
    where one note stands for all of them. `material` is that of its lot.
    """

    fill: Fill
    space: str
    material: str | None = None
    visits: int = 1
    machine_known: bool = True

    @property
    def entry(self) -> str:
        """The id of its entry."""
        return self.fill.id

    @property
    def placed(self) -> bool:
        """Whether its place in the chain is known, as far as it says."""
        return self.machine_known and not self.fill.clock_doubtful


@dataclass(frozen=True, slots=True, kw_only=True)
class _Link:
    """What one filling found in the machine, and what it left there."""

    before: Measured
    after: Measured


def blown(
    *, fillings: tuple[Filling, ...], basis: Basis, ended_at: datetime | None = None
) -> Mapping[str, Measured]:
    """Kilograms that each filling blew, by entry (CHAIN); what was removed or spilt is not taken off.

    `fillings` are all of a job, in the order of what happened. `ended_at` is when the
    material left over was counted: a chain whose last filling came before has ended empty.
    """
    links: dict[str, _Link] = {}
    for chain, material_changes in _chains(fillings):
        links |= _links(chain, basis, material_changes, ended_at)
    return {
        each.entry: _kilograms(each, links[each.entry], basis) for each in fillings if each.entry in links
    }


def emptied_by(*, filling: Filling, basis: Basis) -> Measured:
    """Kilograms that a filling emptied, whatever machine and hose held before and after."""
    return total(_emptied(filling, basis))


def _kilograms(filling: Filling, link: _Link, basis: Basis) -> Measured:
    return total((emptied_by(filling=filling, basis=basis), link.before, link.after.scaled(-1)))


def _emptied(filling: Filling, basis: Basis) -> Iterator[Measured]:
    fill, bag = filling.fill, basis.bag(filling.material)
    if fill.bags:
        yield emptied(bags=fill.bags, bag=bag.mean, spread_kg=bag.spread_kg, of=fill.id)
    if fill.mass_kg:
        yield weighed(reading_kg=fill.mass_kg, errors=basis.practice.uncertainties.weighing)


def _chains(fillings: tuple[Filling, ...]) -> Iterator[tuple[tuple[Filling, ...], bool]]:
    """The fillings of each machine, cut where the material changes, and whether it does after them.

    Where some name a machine and others none, those stand alone and nothing is known before them;
    so do all of a machine that took several materials, where some do not say which.
    """
    ran = [each for each in fillings if each.fill.bags or each.fill.mass_kg]
    machines = dict.fromkeys(each.fill.machine for each in ran)
    for machine in machines:
        of_it = [each for each in ran if each.fill.machine == machine]
        materials = {each.material for each in of_it}
        doubtful = None in materials and len(materials) > 1
        if doubtful or (machine is None and len(machines) > 1):
            of_it = [replace(each, machine_known=False) for each in of_it]
        if doubtful:
            yield tuple(of_it), False
            continue
        cut = [tuple(chain) for _, chain in groupby(of_it, key=lambda each: each.material)]
        yield from ((chain, chain is not cut[-1]) for chain in cut)


def _links(
    chain: tuple[Filling, ...], basis: Basis, material_changes: bool, ended_at: datetime | None
) -> dict[str, _Link]:
    links: dict[str, _Link] = {}
    known: Measured | None = None  # what the filling before left, where it is known which one that was
    empty = chain[0].placed  # whether the machine is empty whichever it was
    for sitting in _sittings(chain, basis):
        in_order, all_empty = _in_order(sitting), all(each.fill.run_empty for each in sitting)
        known, empty = (known, empty) if in_order else (None, empty and all_empty)
        for each in sitting:
            links[each.entry] = _Link(before=known or _before(each, empty, basis), after=_after(each, basis))
            known = links[each.entry].after if in_order else None
        empty = all_empty
    last = chain[-1]
    ends = material_changes or (ended_at is not None and last.fill.at <= ended_at)
    if known and ends and last.fill.hopper_kg is None:
        links[last.entry] = replace(links[last.entry], after=_empty(f"after {last.entry}", basis))
    return links


def _sittings(chain: tuple[Filling, ...], basis: Basis) -> Iterator[tuple[Filling, ...]]:
    """Fillings whose order is in doubt among them, together; each of the others alone.

    An entry that comes sooner after the one before than its kilograms could be blown was
    typed later than the work was done, and the order is that of typing.
    """
    fastest_kg_h = SURELY * max(rates.kg_h for rates in basis.practice.rates.methods)
    sitting = [chain[0]]
    for earlier, later in pairwise(chain):
        bag_kg = basis.bag(later.material).mean.value
        blown_kg = (later.fill.bags or 0.0) * bag_kg + (later.fill.mass_kg or 0.0)
        elapsed_h = (later.fill.at - earlier.fill.at).total_seconds() / 3600
        if elapsed_h * fastest_kg_h < blown_kg:
            sitting.append(later)
            continue
        yield tuple(sitting)
        sitting = [later]
    yield tuple(sitting)


def _in_order(sitting: tuple[Filling, ...]) -> bool:
    """Whether the order matters to nobody: one space, whose fillings follow one another in any order."""
    return len({each.space for each in sitting}) == 1 and all(
        each.placed and each.visits == 1 for each in sitting
    )


def _before(filling: Filling, surely_empty: bool, basis: Basis) -> Measured:
    of = f"before {filling.entry}"
    if surely_empty:
        return _empty(of, basis)
    return _unseen(filling, of, basis)


def _after(filling: Filling, basis: Basis) -> Measured:
    of, errors = f"after {filling.entry}", basis.practice.uncertainties.weighing
    if filling.fill.hopper_kg is not None:
        return hopper(reading_kg=filling.fill.hopper_kg, errors=errors, of=of)
    return _empty(of, basis) if filling.fill.run_empty else _unseen(filling, of, basis)


def _unseen(filling: Filling, of: str, basis: Basis) -> Measured:
    return unseen(bag_kg=basis.bag(filling.material).mean.value, of=of, visits=filling.visits)


def _empty(of: str, basis: Basis) -> Measured:
    return run_empty(errors=basis.practice.uncertainties.weighing, of=of)
