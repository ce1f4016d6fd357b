"""The evidence of a job, put to the spaces that it is of: what was blown into each, and its samples."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from service.engine.ground.uncertainty import Measured, Scatter, pooled, total
from service.engine.ground.vocabulary import Element
from service.engine.plan.kilograms import weighed
from service.engine.site.bag_mass import bag, readings_kg
from service.engine.site.chains import Filling, blown, emptied_by
from service.engine.site.entries import Fill, Sample
from service.engine.site.ledger import Ledger, by_part
from service.engine.site.materials import materials_of
from service.engine.site.planned import BalancedSpace, Basis, Planned, as_one_space, spaces
from service.engine.site.said import Said
from service.engine.site.samples import sample_density
from service.engine.site.spill import DUST_KG, spilt
from service.engine.survey.practice import Material, Practice


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """A sample, its bay and density; `superseded` where the bay was filled or emptied since."""

    sample: Sample
    bay: int
    density: Measured
    superseded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Of one space: its fills, the kilograms in its walls (None without a fill) and its samples.

    `single` are the fills without the tally: what is measured before the part is told to be done is of
    what the tally counts, what is measured before another fill is not of that.
    """

    planned: Planned
    space: BalancedSpace
    fills: tuple[Fill, ...]
    single: tuple[Fill, ...]
    mass: Measured | None
    samples: tuple[Taken, ...]
    last_bay: int | None = None

    @property
    def bays(self) -> Mapping[int, Measured]:
        """The mean density of each bay that was sampled, by the samples that still count."""
        by_bay: dict[int, list[Measured]] = {}
        for each in self.samples:
            if not each.superseded:
                by_bay.setdefault(each.bay, []).append(each.density)
        return {bay: total(by_bay[bay]).scaled(1 / len(by_bay[bay])) for bay in sorted(by_bay)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The evidence of a job: of each space, by cavity in their order, and all that was blown.

    `blown` are the kilograms that left the hose, `in_walls` those without spill and what was
    taken out. What went into a bay that was met full, blocked or absent is among them, and of no space
    unless fill moves from it to others. `repeated` are the totals that say no more than was noted
    before them: nothing was blown on their day.
    """

    of_cavity: Mapping[str, tuple[Evidence, ...]]
    blown: Measured
    in_walls: Measured
    repeated: frozenset[str]


def basis_of(*, ledger: Ledger, material: Material, practice: Practice) -> Basis:
    """What the evidence of a job is judged on."""
    errors = practice.uncertainties.weighing
    came = materials_of(ledger=ledger, offered=material.code)
    bags = {
        code: bag(
            masses_kg=readings_kg(ledger=ledger, materials=came, of=code),
            code=code,
            material=material,
            errors=errors,
        )
        for code in {*came.came, material.code}
    }
    return Basis(materials=came, bags=bags, practice=practice)


def gathered(*, cavities: tuple[Planned, ...], said: Said, basis: Basis) -> Gathered:
    """All evidence of a job by the spaces it is of."""
    blown_in, taken = by_part(said.fills), by_part(said.samples)
    found = {each.cavity.label: _spaces(each, blown_in.get(each.cavity.label, ())) for each in cavities}
    fillings = tuple(_fillings(found, said.fills, said, basis))
    kilograms = blown(fillings=fillings, basis=basis, ended_at=said.ended_at)
    told = tuple(_fillings(found, said.emptyings, said, basis))
    of_day = _of_day(told, said, kilograms, basis)
    spill = spilt(reclaimed=said.reclaimed, fillings=told, blown=of_day, basis=basis)
    repeated = frozenset(each for each in said.visits.keys() & of_day if of_day[each].value <= DUST_KG)
    of_space: dict[str, list[Fill]] = {}
    for each in fillings:
        of_space.setdefault(each.space, []).append(each.fill)
    walls = {key: total(_in_walls(key, fills, kilograms, spill, basis)) for key, fills in of_space.items()}
    return Gathered(
        of_cavity={
            planned.cavity.label: tuple(
                _evidence(
                    planned=planned,
                    space=space,
                    samples=taken.get(planned.cavity.label, ()),
                    fills=tuple(of_space.get(_key(planned, space), ())),
                    mass=walls.get(_key(planned, space)),
                    tallied=said.tallied,
                    repeated=repeated,
                    basis=basis,
                )
                for space in found[planned.cavity.label]
            )
            for planned in cavities
        },
        blown=total(kilograms.values()),
        in_walls=total(walls.values()),
        repeated=repeated,
    )


def scatter(*, evidence: Iterable[Evidence], basis: Basis) -> Mapping[Element, Scatter]:
    """How bays scatter, pooled over the compartments of each element; declared where they show too little."""
    groups: dict[Element, list[tuple[float, ...]]] = {}
    for each in evidence:
        if each.space.shared:
            densities = tuple(density.value for density in each.bays.values())
            groups.setdefault(each.planned.cavity.element, []).append(densities)
    declared = basis.practice.uncertainties.sample.between_bays_u_kg_m3
    return {element: pooled(groups=groups.get(element, ()), declared=declared) for element in Element}


def _spaces(planned: Planned, fills: tuple[Fill, ...]) -> tuple[BalancedSpace, ...]:
    """The spaces of a cavity; none where no bay takes any fill."""
    if planned.density is None and planned.compartments:
        return (as_one_space(planned=planned),)
    return spaces(planned=planned, bays_named=all(each.bay is not None for each in fills))


def _key(planned: Planned, space: BalancedSpace) -> str:
    return f"{planned.cavity.label} {space.label}"


def _fillings(
    found: Mapping[str, tuple[BalancedSpace, ...]], fills: Iterable[Fill], said: Said, basis: Basis
) -> Iterator[Filling]:
    for fill in fills:
        yield Filling(
            fill=fill,
            space=_space_of(fill, found[fill.cavity]),
            material=basis.materials.of(fill.lot),
            visits=said.visits.get(fill.id, 1),
        )


def _space_of(fill: Fill, spaces: tuple[BalancedSpace, ...]) -> str:
    """The key of the space that a fill went into; of a bay that is listed apart one that nobody balances.

    What went into a bay before it was found to be blocked is in the wall, and in no other bay where
    fill does not move between them.
    """
    for space in spaces:
        if _takes(space, fill, alone=len(spaces) == 1):
            return f"{fill.cavity} {space.label}"
    return f"{fill.cavity} apart {fill.bay}"


def _takes(space: BalancedSpace, fill: Fill, *, alone: bool) -> bool:
    """Whether a fill went into a space; where fill moves from bay to bay, whichever bay it names.

    Bays that nobody counted are one, whatever they are called on the site.
    """
    anywhere = fill.bay is None or not space.bays_known or (space.shared and not space.noted_together)
    return fill.bay in space.bays or (alone and anywhere)


def _of_day(
    fillings: tuple[Filling, ...], said: Said, blown_kg: Mapping[str, Measured], basis: Basis
) -> Mapping[str, Measured]:
    """What was blown with each filling on its day, by entry, also where a total says it anew.

    Of a total counts for its day what the notes before it did not say.
    """
    told = {each.entry: emptied_by(filling=each, basis=basis) for each in fillings}
    before: dict[str, float] = {}
    of_day: dict[str, Measured] = {}
    for each in fillings:
        kg = blown_kg.get(each.entry, told[each.entry])
        if each.entry not in blown_kg:
            before[each.fill.cavity] = before.get(each.fill.cavity, 0.0) + kg.value
        elif each.entry in said.visits:
            kg = Measured(value=told[each.entry].value - before.get(each.fill.cavity, 0.0))
        of_day[each.entry] = kg
    return of_day


def _in_walls(
    space: str,
    fills: list[Fill],
    blown_kg: Mapping[str, Measured],
    spill: Mapping[str, Measured],
    basis: Basis,
) -> Iterator[Measured]:
    """What was blown into a space, and as a minus what was taken out of it and what of it spilt."""
    yield from (blown_kg[fill.id] for fill in fills if fill.id in blown_kg)
    yield from (_removed(fill, basis) for fill in fills if fill.removed_kg)
    if space in spill:
        yield spill[space].scaled(-1)


def _removed(fill: Fill, basis: Basis) -> Measured:
    """Taken out, as a minus: weighed in another vessel, so that the scale's error does not cancel."""
    return weighed(reading_kg=-fill.removed_kg, errors=basis.practice.uncertainties.weighing)


def _evidence(
    *,
    planned: Planned,
    space: BalancedSpace,
    samples: tuple[Sample, ...],
    fills: tuple[Fill, ...],
    mass: Measured | None,
    tallied: frozenset[str],
    repeated: frozenset[str],
    basis: Basis,
) -> Evidence:
    only = planned.geometry.bays == 1
    single = tuple(each for each in fills if each.id not in tallied)
    taken = tuple(_taken(each, planned, single, basis) for each in samples if only or each.bay in space.bays)
    return Evidence(
        planned=planned,
        space=space,
        fills=fills,
        single=single,
        mass=mass,
        samples=taken,
        last_bay=_last_bay(space, fills, repeated),
    )


def _taken(sample: Sample, planned: Planned, fills: tuple[Fill, ...], basis: Basis) -> Taken:
    bay, only = sample.bay or 1, planned.geometry.bays == 1
    practice = basis.practice
    return Taken(
        sample=sample,
        bay=bay,
        density=sample_density(
            sample=sample,
            depth_mm=planned.geometry.depth_mm,
            tool_mm=practice.sampling.core_diameter_mm,
            errors=practice.uncertainties.sample,
        ),
        superseded=any(
            fill.at > sample.at for fill in fills if fill.bay == bay or (fill.bay is None and only)
        ),
    )


def _last_bay(space: BalancedSpace, fills: tuple[Fill, ...], repeated: frozenset[str]) -> int | None:
    """The bay that was filled last of those that took any fill; None where nobody names one of them.

    A total that says no more than the fills before it (`repeated`) leaves it to them, unless it names one.
    """
    bays = (None, *space.bays)
    taking = [fill for fill in fills if fill.bay in bays or not space.bays_known]
    # What a total took the place of has no kilograms any more, nor was anything taken out with it.
    blown_in = [
        fill
        for fill in taking
        if (fill.mass_kg or fill.bags or not fill.removed_kg) and (fill.last_bay or fill.id not in repeated)
    ]
    last = blown_in[-1].bay or blown_in[-1].last_bay if blown_in else None
    return last if last in bays or not space.bays_known else None
