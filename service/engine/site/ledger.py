"""What was said on the site, as it stands: every entry that no correction took the place of.

Entries may come late and in any order from several phones; what counts is the order of
what happened, and for what happened at one instant the order of receipt.
"""

from dataclasses import dataclass
from typing import TypeVar

from service.engine.site.emptied import emptied
from service.engine.site.entries import Delivery, Emptied, Fill
from service.engine.site.entry import Entry, OfCavity

E = TypeVar("E", bound=Entry)


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

    def of_cavity(self, label: str) -> "Ledger":
        """What is about one part, in the ledger's order."""
        return Ledger(
            entries=tuple(
                each for each in self.entries if isinstance(each, OfCavity) and each.cavity == label
            )
        )

    def in_order(self) -> "Ledger":
        """The same entries in the order of what happened."""
        return Ledger(entries=tuple(sorted(self.entries, key=lambda each: (each.at, each.position, each.id))))

    @property
    def fills(self) -> tuple[Fill, ...]:
        """Everything that counts towards masses, tallies among it."""
        return emptied(entries=self.entries)
