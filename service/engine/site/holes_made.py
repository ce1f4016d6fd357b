"""The holes of each part as they were made and closed, held against the plan.

What a tally says of a part stays one statement about the part: it is never turned into
claims of single holes. What was recorded by itself, and every sample's hole, stands beside it.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass

from service.engine.ground.vocabulary import Purpose
from service.engine.plan.holes import Hole as PlannedHole
from service.engine.site.entries import Block, Core, Hole, Patch, Sample, Tally
from service.engine.site.entry import Entry
from service.engine.site.hole_findings import ClosedApart, HoleFinding, HolesFinding, PatchFinding
from service.engine.site.ledger import Ledger
from service.engine.site.planned import Planned
from service.engine.survey.practice import Practice

Key = tuple[str, str | int]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Closing:
    """What the last tally says of patches, its place in the order, and what it says was made."""

    place: int
    stated: frozenset[int]
    all_but: frozenset[int]
    patch: PatchFinding

    def patch_over(self, place: int, number: int | None) -> PatchFinding | None:
        """What it says closes a hole that was recorded at this place in the order."""
        covers = place < self.place or number in self.stated
        return self.patch if covers and number not in self.all_but else None


def holes_findings(
    *, cavities: tuple[Planned, ...], ledger: Ledger, practice: Practice
) -> tuple[HolesFinding, ...]:
    """The holes of every part; the ledger is in order."""
    told = ledger.by_part()
    return tuple(_part(each, told.get(each.cavity.label, Ledger()), practice) for each in cavities)


def sample_size(*, sample: Sample, practice: Practice) -> tuple[float | None, float | None]:
    """Breadth and height in mm of the hole that a sample leaves."""
    if isinstance(sample, Core):
        diameter_mm = sample.diameter_mm or practice.sampling.core_diameter_mm
        return diameter_mm, diameter_mm
    return (sample.length_mm, sample.width_mm) if isinstance(sample, Block) else (None, None)


def _part(planned: Planned, ledger: Ledger, practice: Practice) -> HolesFinding:
    tallies = ledger.of(Tally)
    said = next((each for each in reversed(tallies) if each.holes is not None), None)
    numbers = {hole.number: hole for hole in planned.hole_list}
    omitted = frozenset(said.holes.omitted) if said and said.holes else frozenset()
    stated = frozenset(numbers.keys() - omitted) if said else frozenset()
    added = said.holes.added if said and said.holes else ()
    closing = _closing(ledger.entries, stated)
    patches = {_key(each): _patch(each, each.width_mm, each.height_mm) for each in ledger.of(Patch)}
    singles = _singles(ledger.entries, numbers, patches, closing, practice)
    recorded = {each.number for each in singles if each.number is not None}
    made = stated | recorded
    entries = [each for each in singles if each.number is None and each.purpose is Purpose.ENTRY]
    elsewhere = {each.bay for each in added} | {each.bay for each in entries}
    others = sum(each.purpose is not Purpose.ENTRY for each in singles)
    still_open = tuple(sorted(_open(made - recorded, patches, closing)))
    open_added = 0 if closing else len(added)
    open_singles = sum(each.patch is None for each in singles)
    holes = len(made) + len(added) + len(entries)
    return HolesFinding(
        cavity=planned.cavity.label,
        planned=planned.holes,
        made=holes,
        stated=len(stated),
        others=others,
        closed=holes + others - len(still_open) - open_added - open_singles,
        as_planned=bool(said and said.holes and said.holes.as_planned),
        stated_by=said.by if said else None,
        stated_at=said.told_at if said else None,
        added=added,
        omitted=tuple(sorted(omitted)),
        unaccounted=tuple(sorted(numbers.keys() - made - omitted)) if tallies or ledger.fills else (),
        contradicted=tuple(sorted(omitted & recorded)),
        unreached=_unreached(planned, omitted - recorded, elsewhere),
        open=still_open,
        open_added=open_added,
        patch=closing.patch if closing else None,
        closed_apart=tuple(_closed_apart(made - recorded, patches)),
        singles=singles,
        strays=_strays(patches, singles, made),
    )


def _unreached(
    planned: Planned, omitted: frozenset[int], elsewhere: Collection[int | None]
) -> tuple[int, ...]:
    """The bays that no hole leads to any more; one that is in no bay may lead to any."""
    if None in elsewhere:
        return ()
    found: set[int] = set()
    for space in planned.compartments:
        leading = {hole.number for hole in planned.hole_list if hole.bay in space.bays}
        if leading and leading <= omitted and not {*space.bays} & {*elsewhere}:
            found |= {*space.bays}
    return tuple(sorted(found))


def _closing(entries: tuple[Entry, ...], stated: frozenset[int]) -> _Closing | None:
    for place, each in reversed(list(enumerate(entries))):
        if isinstance(each, Tally) and each.patched is not None:
            return _Closing(
                place=place,
                stated=stated,
                all_but=frozenset(each.patched.all_but),
                patch=_patch(each, each.patch_width_mm, each.patch_height_mm),
            )
    return None


def _patch(told: Tally | Patch, width_mm: float | None, height_mm: float | None) -> PatchFinding:
    return PatchFinding(
        width_mm=width_mm,
        height_mm=height_mm,
        tape=told.tape,
        wiped=told.wiped is not False,
        pressed_on=told.pressed_on is not False,
        stated=isinstance(told, Tally),
        happened_at=told.told_at,
        by=told.by,
        photos=told.photos,
    )


def _key(entry: Hole | Patch) -> Key:
    return ("number", entry.number) if entry.number is not None else ("tag", entry.tag or "")


def _singles(
    entries: tuple[Entry, ...],
    numbers: Mapping[int, PlannedHole],
    patches: Mapping[Key, PatchFinding],
    closing: _Closing | None,
    practice: Practice,
) -> tuple[HoleFinding, ...]:
    """Holes by themselves, those of one number or tag together; a tally closes what was made before it."""
    found: dict[Key, HoleFinding] = {}
    for place, each in enumerate(entries):
        if isinstance(each, Hole):
            key = _key(each)
            known = found.get(key)
            stated = closing.patch_over(place, each.number) if closing else None
            patch = patches.get(key) or (known.patch if known else None) or stated
            found[key] = _hole(each, numbers.get(each.number or 0), known, patch)
        elif isinstance(each, Sample):
            stated = closing.patch_over(place, None) if closing else None
            patch = patches.get(("tag", each.id)) or _patch_of_sample(each) or stated
            found["tag", each.id] = _hole_of_sample(each, sample_size(sample=each, practice=practice), patch)
    return tuple(found.values())


def _hole(
    hole: Hole, planned: PlannedHole | None, known: HoleFinding | None, patch: PatchFinding | None
) -> HoleFinding:
    return HoleFinding(
        entry=known.entry if known else hole.id,
        cavity=hole.cavity,
        number=hole.number,
        tag=hole.tag,
        purpose=hole.purpose,
        bay=hole.bay or (planned.bay if planned else None),
        width_mm=hole.width_mm or (planned.width_mm if planned else None),
        height_mm=hole.height_mm or (planned.height_mm if planned else None),
        x_m=hole.x_m if hole.x_m is not None or not planned else planned.x_m,
        height_m=hole.height_m if hole.height_m is not None or not planned else planned.height_m,
        happened_at=known.happened_at if known else hole.told_at,
        by=hole.by,
        photos=(*(known.photos if known else ()), *hole.photos),
        patch=patch,
    )


def _hole_of_sample(
    sample: Sample, size: tuple[float | None, float | None], patch: PatchFinding | None
) -> HoleFinding:
    return HoleFinding(
        entry=sample.id,
        cavity=sample.cavity,
        number=None,
        tag=None,
        purpose=Purpose.SAMPLE,
        bay=sample.bay,
        width_mm=size[0],
        height_mm=size[1],
        x_m=None,
        height_m=None,
        happened_at=sample.told_at,
        by=sample.by,
        photos=sample.photos,
        patch=patch,
    )


def _patch_of_sample(sample: Sample) -> PatchFinding | None:
    """What a sample says of its own hole: closed as planned, or nothing."""
    if not sample.patched:
        return None
    return PatchFinding(
        width_mm=None,
        height_mm=None,
        tape=None,
        wiped=True,
        pressed_on=True,
        stated=False,
        happened_at=sample.told_at,
        by=sample.by,
        photos=(),
    )


def _open(
    stated: Iterable[int], patches: Mapping[Key, PatchFinding], closing: _Closing | None
) -> Iterator[int]:
    """Numbers of holes made, recorded by nobody by themselves, that no patch closes."""
    for number in stated:
        closed = closing is not None and number not in closing.all_but
        if not closed and ("number", number) not in patches:
            yield number


def _closed_apart(stated: Iterable[int], patches: Mapping[Key, PatchFinding]) -> Iterator[ClosedApart]:
    """Holes that only the tally speaks of, each with the patch that somebody recorded over it."""
    for number in sorted(stated):
        if patch := patches.get(("number", number)):
            yield ClosedApart(number=number, patch=patch)


def _strays(
    patches: Mapping[Key, PatchFinding], singles: tuple[HoleFinding, ...], made: Iterable[int]
) -> tuple[str, ...]:
    known: set[Key] = {("number", number) for number in made}
    known |= {("tag", each.tag or each.entry) for each in singles if each.number is None}
    return tuple(str(name) for kind, name in patches if (kind, name) not in known)
