"""Of what material each lot is: bags of one are not those of another."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from service.engine.site.entries import Delivery, Fill
from service.engine.site.ledger import Ledger


@dataclass(frozen=True, slots=True, kw_only=True)
class Materials:
    """The codes of the materials that came to a job, and of which each lot is.

    A delivery that names none brought what was `offered`.
    """

    offered: str
    came: frozenset[str] = frozenset()
    of_lots: Mapping[str, str] = field(default_factory=dict)

    @property
    def several(self) -> bool:
        """Whether it has to be said which of them a bag is of."""
        return len(self.came) > 1

    def of(self, lot: str | None) -> str | None:
        """The material of a lot; None where several came and nobody says which."""
        if self.several:
            return self.of_lots.get(lot or "")
        return next(iter(self.came), self.offered)

    def of_delivery(self, delivery: Delivery) -> str | None:
        """The material of a delivery; one of what was left over may name it or its lot."""
        return delivery.material or self.of(delivery.lot)


def materials_of(*, ledger: Ledger, offered: str) -> Materials:
    """What the deliveries of a ledger say of the materials; `offered` is the code of the offer's."""
    came = [each for each in ledger.of(Delivery) if each.bags is not None or each.mass_kg is not None]
    return Materials(
        offered=offered,
        came=frozenset(each.material or offered for each in came),
        of_lots={each.lot: each.material or offered for each in came if each.lot},
    )


def not_offered(*, fills: tuple[Fill, ...], materials: Materials) -> Mapping[str, tuple[str, ...]]:
    """The parts that another material than the offered went into, by that material's code."""
    found: dict[str, dict[str, None]] = {}
    for fill in fills:
        code = materials.of(fill.lot)
        if code not in (None, materials.offered):
            found.setdefault(code, {})[fill.cavity] = None
    return {code: tuple(parts) for code, parts in found.items()}


def lots_in(*, parts: Collection[str], ledger: Ledger, offered: str) -> tuple[str, ...]:
    """The lots that parts are known to hold, in the order of what happened.

    Where somebody emptied bags into one of them without a word of their lot, it may hold any of the
    `offered` material.
    """
    blown = [each for each in ledger.emptyings if each.cavity in parts]
    named = {each.lot for each in blown}
    if None in named:
        of_lots = materials_of(ledger=ledger, offered=offered).of_lots
        named |= {lot for lot in ledger.lots if of_lots.get(lot, offered) == offered}
    return tuple(lot for lot in ledger.lots if lot in named)
