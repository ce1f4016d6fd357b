"""Stock: what came to the site against what was emptied, left over and sent back, and what became of it."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.shapes import Kilograms
from service.engine.ground.uncertainty import Measured, Share, rectangular, total
from service.engine.ground.vocabulary import Standing
from service.engine.plan.kilograms import emptied, weighed
from service.engine.site.entries import Delivery, Fill, Reclaimed
from service.engine.site.evidence import Gathered
from service.engine.site.planned import Basis
from service.engine.site.spill import vacuumed_up

STOCK = Formula(
    code="stock",
    name="Stock reconciliation",
    expression="delivered + blown again - (emptied + left over + returned), within +- U (k = 2)",
    source="balance of mass",
    standing=Standing.DERIVED,
)
WHEREABOUTS = Formula(
    code="whereabouts",
    name="What became of what was emptied",
    expression="in the walls = emptied - in the machine - vacuumed up - taken out",
    source="balance of mass",
    standing=Standing.DERIVED,
)

FORMULAS = (STOCK, WHEREABOUTS)

DUST_KG = 1e-9  # of floating-point arithmetic, where nothing errs
OPEN_BAG = 0.5  # of what is left over one bag may be open, anything from full to empty


@dataclass(frozen=True, slots=True, kw_only=True)
class StockFinding:
    """Kilograms that came and went, of the job or of one `lot`, each with its expanded uncertainty (k = 2).

    `difference_kg` is what came less what is accounted for.
    """

    lot: Annotated[str | None, "lot; none for the whole job"]
    delivered_bags: Annotated[float, "bags that came"]
    delivered_kg: Annotated[Kilograms, "mass that came"]
    expanded_u_delivered_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    blown_again_kg: Annotated[Kilograms, "own spill that was blown again"]
    expanded_u_blown_again_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    emptied_kg: Annotated[Kilograms, "mass emptied into the machine"]
    expanded_u_emptied_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    left_over_bags: Annotated[float, "bags left over"]
    left_over_kg: Annotated[Kilograms, "mass left over"]
    expanded_u_left_over_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    returned_bags: Annotated[float, "bags sent back"]
    returned_kg: Annotated[Kilograms, "mass sent back"]
    expanded_u_returned_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    difference_kg: Annotated[Kilograms, "what came less what is accounted for"]
    expanded_u_difference_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    reconciled: Annotated[bool, "whether the difference lies within its uncertainty"]
    provenance: Annotated[Provenance, "where the figure comes from"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Whereabouts:
    """What became of the kilograms that were emptied (k = 2): what is in the walls is what remains."""

    emptied_kg: Annotated[Kilograms, "mass emptied into the machine"]
    in_machine_kg: Annotated[Kilograms, "mass still in machine and hose"]
    vacuumed_up_kg: Annotated[Kilograms, "spill that was vacuumed up"]
    expanded_u_vacuumed_up_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    taken_out_kg: Annotated[Kilograms, "mass dug out of filled parts"]
    in_walls_kg: Annotated[Kilograms, "mass in the walls"]
    expanded_u_in_walls_kg: Annotated[Kilograms, "its expanded uncertainty, k = 2"]
    provenance: Annotated[Provenance, "where the figures come from"]


def reconciliations(
    *, deliveries: tuple[Delivery, ...], fills: tuple[Fill, ...], basis: Basis
) -> tuple[StockFinding, ...]:
    """The stock (STOCK) of each lot where all deliveries and counted fills name theirs, else of the job.

    Nothing without a delivery that says what came and one that says what was left; both
    may be one. `deliveries` are in the order of what happened.
    """
    if not any(each.left_over is not None for each in deliveries):
        return ()
    lots = sorted({each.lot for each in deliveries if each.lot})
    named = all(each.lot for each in deliveries) and all(each.lot for each in fills if _from_bags(each))
    if not named or len(lots) < 2:
        return (_reconciliation(None, deliveries, fills, basis),)
    return tuple(
        _reconciliation(
            lot,
            tuple(each for each in deliveries if each.lot == lot),
            tuple(each for each in fills if each.lot == lot),
            basis,
        )
        for lot in lots
    )


def whereabouts(
    *, fills: tuple[Fill, ...], reclaimed: tuple[Reclaimed, ...], found: Gathered, basis: Basis
) -> Whereabouts:
    """What became of what was emptied (WHEREABOUTS)."""
    spill = total(vacuumed_up(entry=each, basis=basis) for each in reclaimed)
    emptied_kg = _emptied(fills, basis).value
    return Whereabouts(
        emptied_kg=emptied_kg,
        in_machine_kg=emptied_kg - found.blown.value,
        vacuumed_up_kg=spill.value,
        expanded_u_vacuumed_up_kg=spill.expanded_u,
        taken_out_kg=sum(each.removed_kg for each in fills),
        in_walls_kg=found.in_walls.value,
        expanded_u_in_walls_kg=found.in_walls.expanded_u,
        provenance=WHEREABOUTS.provenance,
    )


def _reconciliation(
    lot: str | None, deliveries: tuple[Delivery, ...], fills: tuple[Fill, ...], basis: Basis
) -> StockFinding:
    """The mass of a bag is one input on both sides: what was counted in bags differs by whole bags alone.

    For the same reason the spread from bag to bag is on neither: they are the same bags.
    """
    came, back = _sum(each.bags for each in deliveries), _sum(each.returned for each in deliveries)
    left = next((each.left_over for each in reversed(deliveries) if each.left_over is not None), 0.0)
    by_weight = _weighed((each.mass_kg for each in deliveries), basis)
    delivered = total((_bags(came, basis), by_weight))
    again = _blown_again(fills, by_weight, basis)
    gone = _emptied(fills, basis)
    left_over, returned = total((_bags(left, basis), _open_bag(left, basis))), _bags(back, basis)
    difference = total((delivered, again, *(each.scaled(-1) for each in (gone, left_over, returned))))
    return StockFinding(
        lot=lot,
        delivered_bags=came,
        delivered_kg=delivered.value,
        expanded_u_delivered_kg=delivered.expanded_u,
        blown_again_kg=again.value,
        expanded_u_blown_again_kg=again.expanded_u,
        emptied_kg=gone.value,
        expanded_u_emptied_kg=gone.expanded_u,
        left_over_bags=left,
        left_over_kg=left_over.value,
        expanded_u_left_over_kg=left_over.expanded_u,
        returned_bags=back,
        returned_kg=returned.value,
        expanded_u_returned_kg=returned.expanded_u,
        difference_kg=difference.value,
        expanded_u_difference_kg=difference.expanded_u,
        reconciled=abs(difference.value) <= difference.expanded_u + DUST_KG,
        provenance=STOCK.provenance,
    )


def _blown_again(fills: tuple[Fill, ...], from_other_jobs: Measured, basis: Basis) -> Measured:
    """Spill blown again as far as it is this job's own: another job's came as a delivery."""
    again = _weighed((each.mass_kg for each in fills if each.from_spill), basis)
    own_kg = max(again.value - from_other_jobs.value, 0.0)
    return again.scaled(own_kg / again.value) if again.value else again


def _emptied(fills: tuple[Fill, ...], basis: Basis) -> Measured:
    counted = _bags(_sum(each.bags for each in fills), basis)
    return total((counted, _weighed((each.mass_kg for each in fills), basis)))


def _bags(bags: float, basis: Basis) -> Measured:
    return emptied(bags=bags, bag=basis.bag, spread_kg=0.0, of="stock")


def _open_bag(left: float, basis: Basis) -> Measured:
    half_kg = basis.bag.value * OPEN_BAG if left else 0.0
    return Measured(value=0.0, shares=(Share(name="open bag", of="open bag", u=rectangular(half=half_kg)),))


def _weighed(readings_kg: Iterable[float | None], basis: Basis) -> Measured:
    errors = basis.practice.uncertainties.weighing
    return total(weighed(reading_kg=reading, errors=errors) for reading in readings_kg if reading)


def _from_bags(fill: Fill) -> bool:
    return bool(fill.bags)


def _sum(values: Iterable[float | None]) -> float:
    return sum(value for value in values if value)
