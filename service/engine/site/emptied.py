"""Which bags and kilograms count towards a part: the sum of its fills and its tally, or its tally alone."""

from dataclasses import replace

from service.engine.ground.vocabulary import BagsAre
from service.engine.site.entries import Emptied, Fill, Tally
from service.engine.site.entry import Entry


def emptied(*, entries: tuple[Entry, ...]) -> tuple[Fill, ...]:
    """Everything that was emptied, in the order of `entries`, which is that of what happened.

    A tally's bags are a fill of its part that names no bay: what is noted together is
    balanced together. Where they are the part's total, the kilograms of what was emptied into it
    before do not count; that it was filled then, where, and how far its facing gave, stands, and
    what was taken out is still out. What a tally without bags says of facing, last bay and machine
    it says of what was blown into its part last.
    """
    totals = {
        each.cavity: place
        for place, each in enumerate(entries)
        if isinstance(each, Tally) and each.bags_are is BagsAre.TOTAL
    }
    fills: list[Fill] = []
    for place, each in enumerate(entries):
        if isinstance(each, Fill | Tally) and _moves(each):
            fills.append(_counted(each, superseded=place < totals.get(each.cavity, 0)))
        elif isinstance(each, Tally):
            _say_of_last(fills, each)
    return tuple(fills)


def emptyings(*, entries: tuple[Entry, ...]) -> tuple[Fill, ...]:
    """Everything that says that material was blown, and how much, also where a total took its place.

    It says on which day which part was filled, which a total of a later day does not take back.
    """
    told = (_counted(each, superseded=False) for each in entries if isinstance(each, Fill | Tally))
    return tuple(fill for fill in told if fill.bags or fill.mass_kg)


def says_mass(entry: Emptied) -> bool:
    """Whether an entry says how much was emptied."""
    return entry.bags is not None or entry.mass_kg is not None


def _moves(entry: Fill | Tally) -> bool:
    """Whether an entry moved any material: into a part, or out of it."""
    removed_kg = entry.removed_kg if isinstance(entry, Fill) else 0.0
    return bool(entry.bags or entry.mass_kg or removed_kg)


def _counted(entry: Fill | Tally, *, superseded: bool) -> Fill:
    fill = _as_fill(entry) if isinstance(entry, Tally) else entry
    return replace(fill, bags=None, mass_kg=0.0) if superseded else fill


def _say_of_last(fills: list[Fill], tally: Tally) -> None:
    """Put what a tally without bags says beside what was blown into its part last."""
    blown = [place for place, each in enumerate(fills) if each.bags or each.mass_kg]
    place = next((place for place in reversed(blown) if fills[place].cavity == tally.cavity), None)
    if place is None:
        return
    last = fills[place]
    fills[place] = replace(
        last,
        bulge_mm=last.bulge_mm if tally.bulge_mm is None else tally.bulge_mm,
        last_bay=tally.last_bay or last.last_bay,
    )
    # Of the machine only as long as it has not gone on elsewhere.
    if place == blown[-1] and (tally.run_empty or tally.hopper_kg is not None):
        fills[place] = replace(fills[place], run_empty=tally.run_empty, hopper_kg=tally.hopper_kg)


def _as_fill(tally: Tally) -> Fill:
    return Fill(
        id=tally.id,
        happened_at=tally.happened_at,
        by=tally.by,
        machine=tally.machine,
        received_at=tally.received_at,
        position=tally.position,
        cavity=tally.cavity,
        bags=tally.bags,
        mass_kg=tally.mass_kg,
        method=tally.method,
        run_empty=tally.run_empty,
        hopper_kg=tally.hopper_kg,
        bulge_mm=tally.bulge_mm,
        lot=tally.lot,
        last_bay=tally.last_bay,
    )
