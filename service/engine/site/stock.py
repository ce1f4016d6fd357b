"""Stock: what came to the site against what was emptied, left over and sent back."""

from collections.abc import Iterable
from dataclasses import dataclass

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, total
from service.engine.ground.vocabulary import Standing
from service.engine.site.bag_mass import counted, weighed
from service.engine.site.entries import Delivery, Fill, Reclaimed
from service.engine.site.ledger import Ledger
from service.engine.survey.uncertainties import Uncertainties

STOCK = Formula(
    code="stock",
    name="Stock reconciliation",
    expression="delivered + blown again - emptied - left over - returned, unreconciled outside +- U (k = 2)",
    source="balance of mass",
    standing=Standing.DERIVED,
)

FORMULAS = (STOCK,)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockFinding:
    """Kilograms that came and went, each with its expanded uncertainty (k = 2).

    `difference_kg` is what came less what is accounted for. Fills are gross: `emptied_kg`
    is what went into the machine, `reclaimed_kg` what of it was vacuumed up again.
    """

    delivered_bags: float
    delivered_kg: float
    expanded_u_delivered_kg: float
    blown_again_kg: float
    expanded_u_blown_again_kg: float
    emptied_kg: float
    expanded_u_emptied_kg: float
    left_over_bags: float
    left_over_kg: float
    expanded_u_left_over_kg: float
    returned_bags: float
    returned_kg: float
    expanded_u_returned_kg: float
    reclaimed_kg: float
    expanded_u_reclaimed_kg: float
    difference_kg: float
    expanded_u_difference_kg: float
    reconciled: bool
    rule: str
    source: str
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scale:
    """What weighs what: the mean bag, the spread from bag to bag in kg, the firm's half-widths."""

    bag: Measured
    spread_kg: float
    uncertainties: Uncertainties

    def bags(self, bags: float, *, of: str, half: float = 0.0) -> Measured:
        """Counted bags; `half` is how far the count may be off where one of them is open."""
        return counted(bags=bags, count_half=half, bag=self.bag, spread_kg=0.0, of=of)

    def mass(self, entries: Iterable[Delivery | Reclaimed | Fill], *, of: str) -> Measured:
        """What entries say in kilograms and in bags, together."""
        told = tuple(entries)
        parts = [
            weighed(reading_kg=each.mass_kg, uncertainties=self.uncertainties)
            for each in told
            if each.mass_kg
        ]
        parts += [self.bags(each.bags, of=f"{of} {each.id}") for each in told if each.bags]
        return total(parts)


def reconciliation(
    *, ledger: Ledger, bag: Measured, spread_kg: float, uncertainties: Uncertainties
) -> StockFinding | None:
    """The stock of a job (STOCK); None where nobody says what came or what was left. The ledger is in order.

    What came adds up, and so does what was sent back; what is left over is what the last
    entry says. The mass of a bag is one input on both sides: where all was counted in
    bags its error cancels, but for the bags that are missing.
    """
    came = ledger.of(Delivery)
    left = [each.left_over for each in came if each.left_over is not None]
    if not left or not any(each.bags or each.mass_kg for each in came):
        return None
    scale = _Scale(bag=bag, spread_kg=spread_kg, uncertainties=uncertainties)
    returned_bags = sum(each.returned or 0.0 for each in came)
    delivered = scale.mass(came, of="delivered")
    again = scale.mass((each for each in ledger.fills if each.from_spill), of="again")
    emptied = scale.mass(ledger.fills, of="emptied")
    # Of the bags left over one may be open.
    left_over = scale.bags(left[-1], of="left over", half=uncertainties.bag_count_half)
    returned = scale.bags(returned_bags, of="returned")
    reclaimed = scale.mass(ledger.of(Reclaimed), of="reclaimed")
    away = (emptied, left_over, returned)
    difference = total((delivered, again, *(each.scaled(-1) for each in away)))
    return StockFinding(
        delivered_bags=sum(each.bags or 0.0 for each in came),
        delivered_kg=delivered.value,
        expanded_u_delivered_kg=delivered.expanded_u,
        blown_again_kg=again.value,
        expanded_u_blown_again_kg=again.expanded_u,
        emptied_kg=emptied.value,
        expanded_u_emptied_kg=emptied.expanded_u,
        left_over_bags=left[-1],
        left_over_kg=left_over.value,
        expanded_u_left_over_kg=left_over.expanded_u,
        returned_bags=returned_bags,
        returned_kg=returned.value,
        expanded_u_returned_kg=returned.expanded_u,
        reclaimed_kg=reclaimed.value,
        expanded_u_reclaimed_kg=reclaimed.expanded_u,
        difference_kg=difference.value,
        expanded_u_difference_kg=difference.expanded_u,
        reconciled=abs(difference.value) <= difference.expanded_u,
        rule=STOCK.name,
        source=STOCK.source,
        standing=STOCK.standing,
    )
