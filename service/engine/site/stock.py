"""Stock: what came to the site against what was blown, left over and bagged again."""

from dataclasses import dataclass

from service.engine.ground.formula import Formula
from service.engine.ground.uncertainty import Measured, total
from service.engine.ground.vocabulary import Standing
from service.engine.site.bag_mass import counted, weighed
from service.engine.site.ledger import Stock
from service.engine.survey.uncertainties import Uncertainties

STOCK = Formula(
    code="stock",
    name="Stock reconciliation",
    expression="delivered - (blown net + left over + reclaimed), unreconciled outside +- U (k = 2)",
    source="balance of mass",
    standing=Standing.DERIVED,
)

FORMULAS = (STOCK,)


@dataclass(frozen=True, slots=True, kw_only=True)
class StockFinding:
    """Kilograms that came and went, each with its expanded uncertainty (k = 2).

    `difference_kg` is what was delivered less what is accounted for.
    """

    delivered_bags: float
    delivered_kg: float
    expanded_u_delivered_kg: float
    blown_kg: float
    expanded_u_blown_kg: float
    left_over_bags: float
    left_over_kg: float
    expanded_u_left_over_kg: float
    reclaimed_kg: float
    expanded_u_reclaimed_kg: float
    difference_kg: float
    expanded_u_difference_kg: float
    reconciled: bool
    rule: str
    source: str
    standing: Standing


def reconciliation(
    *,
    stocks: tuple[Stock, ...],
    blown: Measured,
    bag: Measured,
    uncertainties: Uncertainties,
) -> StockFinding | None:
    """The stock of a job (STOCK); None without a stock entry. `stocks` are in order.

    Deliveries and reclaimed spill add up; what is left over is what the last entry
    says. Delivered bags are whole, of those left over one may be open. The mass of
    a bag is one input on both sides: where all was counted in bags its error
    cancels, but for the bags that are missing; for the same reason the spread from
    bag to bag comes in with `blown` alone. Spill that was taken out of a cavity is
    a minus in `blown` and a plus in reclaimed.
    """
    if not stocks:
        return None
    delivered_bags = sum(entry.delivered_bags for entry in stocks)
    left_over_bags = stocks[-1].left_over_bags
    half = uncertainties.bag_count_half
    delivered = counted(bags=delivered_bags, count_half=0.0, bag=bag, spread_kg=0.0, of="delivered")
    left_over = counted(bags=left_over_bags, count_half=half, bag=bag, spread_kg=0.0, of="left over")
    reclaimed = total(
        weighed(reading_kg=entry.reclaimed_kg, uncertainties=uncertainties)
        for entry in stocks
        if entry.reclaimed_kg
    )
    difference = total((delivered, blown.scaled(-1), left_over.scaled(-1), reclaimed.scaled(-1)))
    return StockFinding(
        delivered_bags=delivered_bags,
        delivered_kg=delivered.value,
        expanded_u_delivered_kg=delivered.expanded_u,
        blown_kg=blown.value,
        expanded_u_blown_kg=blown.expanded_u,
        left_over_bags=left_over_bags,
        left_over_kg=left_over.value,
        expanded_u_left_over_kg=left_over.expanded_u,
        reclaimed_kg=reclaimed.value,
        expanded_u_reclaimed_kg=reclaimed.expanded_u,
        difference_kg=difference.value,
        expanded_u_difference_kg=difference.expanded_u,
        reconciled=abs(difference.value) <= difference.expanded_u,
        rule=STOCK.name,
        source=STOCK.source,
        standing=STOCK.standing,
    )
