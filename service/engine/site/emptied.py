"""Which bags and kilograms count towards a part: the sum of its fills and its tally, or its tally alone."""

from dataclasses import replace

from service.engine.ground.vocabulary import BagsAre
from service.engine.site.entries import Emptied, Fill, Tally
from service.engine.site.entry import Entry


def emptied(*, entries: tuple[Entry, ...]) -> tuple[Fill, ...]:
    """Everything that was emptied, in the order of `entries`, which is that of what happened.

    A tally's bags are a fill of its part that names no bay: what is noted together is
    balanced together. Where they are the part's total, what was emptied into it before
    does not count; what was taken out of it still does.
    """
    totals = {
        each.cavity: place
        for place, each in enumerate(entries)
        if isinstance(each, Tally) and each.bags_are is BagsAre.TOTAL
    }
    fills = (
        _counted(each, superseded=place < totals.get(each.cavity, 0))
        for place, each in enumerate(entries)
        if isinstance(each, Fill | Tally) and says_mass(each)
    )
    return tuple(fill for fill in fills if fill.bags or fill.mass_kg or fill.removed_kg)


def says_mass(entry: Emptied) -> bool:
    """Whether an entry says how much was emptied."""
    return entry.bags is not None or entry.mass_kg is not None


def _counted(entry: Fill | Tally, *, superseded: bool) -> Fill:
    fill = _as_fill(entry) if isinstance(entry, Tally) else entry
    return replace(fill, bags=None, mass_kg=0.0) if superseded else fill


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
