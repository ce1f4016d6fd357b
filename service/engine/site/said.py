"""What a ledger says of kilograms and samples, as the balance needs it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from service.engine.ground.vocabulary import BagsAre
from service.engine.site.emptied import says_mass
from service.engine.site.entries import Delivery, Emptied, Fill, Reclaimed, Sample, Tally
from service.engine.site.ledger import Ledger


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What a site said of the kilograms and the samples of a job, each in the order of what happened.

    `emptyings` are the fills, and those besides that a total took the place of.
    `visits` counts, for a note that stands for several fills, how often the machine came
    to the part. `tallied` are the notes that say that a part is done: a sample that was taken before one
    was taken of what it counts. `ended_at`: when left-overs were counted.
    """

    fills: tuple[Fill, ...]
    emptyings: tuple[Fill, ...]
    reclaimed: tuple[Reclaimed, ...]
    samples: tuple[Sample, ...]
    visits: Mapping[str, int]
    tallied: frozenset[str]
    ended_at: datetime | None


def said(*, ledger: Ledger) -> Said:
    """What a ledger, in the order of what happened, says of kilograms and samples."""
    deliveries = ledger.of(Delivery)
    return Said(
        fills=ledger.fills,
        emptyings=ledger.emptyings,
        reclaimed=ledger.of(Reclaimed),
        samples=ledger.of(Sample),
        visits=_visits(ledger),
        tallied=frozenset(each.id for each in ledger.of(Tally)),
        ended_at=max((each.at for each in deliveries if each.left_over is not None), default=None),
    )


def _visits(ledger: Ledger) -> dict[str, int]:
    """Of each tally that is its part's total, how often the fills before it came back to the part."""
    emptyings = [each for each in ledger.of(Emptied) if says_mass(each)]
    visits: dict[str, int] = {}
    for place, tally in enumerate(emptyings):
        if isinstance(tally, Tally) and tally.bags_are is BagsAre.TOTAL:
            runs = [cavity for cavity, _ in groupby(each.cavity for each in emptyings[:place])]
            visits[tally.id] = max(runs.count(tally.cavity), 1)
    return visits
