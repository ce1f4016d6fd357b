"""What was said on the site, as it stands: every entry that no correction took the place of.

Entries may come late and in any order from several phones; what counts is the order of
what happened, and for what happened at one instant the order of receipt.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from service.engine.site.emptied import emptied, emptyings
from service.engine.site.entries import Delivery, Emptied, Fill
from service.engine.site.entry import Entry, OfCavity

E = TypeVar("E", bound=Entry)
P = TypeVar("P", bound=OfCavity)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ledger:
    """The entries of a job."""

    entries: tuple[Entry, ...] = ()

    def of(self, kind: type[E]) -> tuple[E, ...]:
        """The entries of one kind, in the ledger's order."""
        return tuple(each for each in self.entries if isinstance(each, kind))

    @property
    def lots(self) -> tuple[str, ...]:
        """Every lot that a delivery or a part names, each once, in the order of what happened."""
        named = (each.lot for each in self.entries if isinstance(each, Delivery | Emptied))
        return tuple(dict.fromkeys(filter(None, named)))

    def by_part(self) -> "dict[str, Ledger]":
        """What is about each part that something is said of, by its label, in the ledger's order."""
        parts = by_part(each for each in self.entries if isinstance(each, OfCavity))
        return {label: Ledger(entries=entries) for label, entries in parts.items()}

    def in_order(self) -> "Ledger":
        """The same entries in the order of what happened."""
        return Ledger(entries=tuple(sorted(self.entries, key=lambda each: (each.at, each.position, each.id))))

    @property
    def fills(self) -> tuple[Fill, ...]:
        """Everything that counts towards masses, tallies among it."""
        return emptied(entries=self.entries)

    @property
    def emptyings(self) -> tuple[Fill, ...]:
        """Everything that says that material was blown, also what a total took the place of."""
        return emptyings(entries=self.entries)


def by_part(entries: Iterable[P]) -> dict[str, tuple[P, ...]]:
    """Entries by the part that they are about, each part's in their order: one pass, however many parts."""
    parts: dict[str, list[P]] = {}
    for each in entries:
        parts.setdefault(each.cavity, []).append(each)
    return {label: tuple(of) for label, of in parts.items()}
