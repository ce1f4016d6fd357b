"""Stock: what came to the site against what was emptied, left over and sent back, and what became of it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Annotated

from service.engine.ground.formula import Formula, Provenance
from service.engine.ground.shapes import Kilograms
from service.engine.ground.uncertainty import Measured, Share, rectangular, total
from service.engine.ground.vocabulary import Standing
from service.engine.plan.kilograms import emptied, weighed
from service.engine.site.entries import Delivery, Fill, Reclaimed
from service.engine.site.evidence import Gathered
from service.engine.site.left_over import left_over
from service.engine.site.planned import Basis
from service.engine.site.spill import vacuumed_up

STOCK = Formula(
    code="stock",
    expression="delivered + blown again - (emptied + left over + returned), within +- U (k = 2)",
    source="balance of mass",
    standing=Standing.DERIVED,
)
WHEREABOUTS = Formula(
    code="whereabouts",
    expression="in the walls = emptied - in the machine - vacuumed up - taken out",
    source="balance of mass",
    standing=Standing.DERIVED,
)

FORMULAS = (STOCK, WHEREABOUTS)

DUST_KG = 1e-9  # of floating-point arithmetic, where nothing errs
OPEN_BAG = 0.5  # of what is left over one bag may be open, anything from full to empty


@dataclass(frozen=True, slots=True, kw_only=True)
class StockFinding:
    """Kilograms that came and went, each with its expanded uncertainty (k = 2).

    They are of one `lot`, of one `material` where several came, or of the job.

    `difference_kg` is what came less what is accounted for.
    """

    lot: Annotated[str | None, "lot; none where they are not told apart"]
    material: Annotated[str | None, "code of the material; none where all is one"]
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
    """The stock (STOCK) of each lot where all deliveries and counted fills name theirs, else each material's.

    Nothing without a delivery that says what came and one that says what was left; both
    may be one. `deliveries` are in the order of what happened.
    """
    if not any(each.left_over is not None for each in deliveries):
        return ()
    lots = sorted({each.lot for each in deliveries if each.lot})
    named = all(each.lot for each in deliveries) and all(each.lot for each in fills if _from_bags(each))
    if not named or len(lots) < 2:
        return tuple(_of_materials(deliveries, fills, basis))
    return tuple(
        _reconciliation(
            _Stock(
                lot=lot,
                material=basis.materials.of(lot),
                deliveries=tuple(each for each in deliveries if each.lot == lot),
                fills=tuple(each for each in fills if each.lot == lot),
            ),
            basis,
        )
        for lot in lots
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stock:
    """What is reconciled as one: of one lot, of one material, or all."""

    lot: str | None
    material: str | None
    deliveries: tuple[Delivery, ...]
    fills: tuple[Fill, ...]


def _of_materials(
    deliveries: tuple[Delivery, ...], fills: tuple[Fill, ...], basis: Basis
) -> Iterator[StockFinding]:
    """Of each material that came; what names neither lot nor material is the offered one's."""
    materials = basis.materials
    for code in sorted(materials.came) or (materials.offered,):
        stock = _Stock(
            lot=None,
            material=code,
            deliveries=tuple(
                each for each in deliveries if (materials.of_delivery(each) or materials.offered) == code
            ),
            fills=tuple(each for each in fills if (materials.of(each.lot) or materials.offered) == code),
        )
        yield _reconciliation(stock, basis)


def whereabouts(
    *, fills: tuple[Fill, ...], reclaimed: tuple[Reclaimed, ...], found: Gathered, basis: Basis
) -> Whereabouts:
    """What became of what was emptied (WHEREABOUTS)."""
    spill = total(vacuumed_up(entry=each, basis=basis) for each in reclaimed)
    emptied_kg = sum(
        _emptied((each,), basis.bag(basis.materials.of(each.lot)).mean, basis).value for each in fills
    )
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


def _reconciliation(stock: _Stock, basis: Basis) -> StockFinding:
    """The mass of a bag is one input on both sides: what was counted in bags differs by whole bags alone.

    For the same reason the spread from bag to bag is on neither: they are the same bags.
    """
    deliveries, fills, bag = stock.deliveries, stock.fills, basis.bag(stock.material).mean
    came, back = _sum(each.bags for each in deliveries), _sum(each.returned for each in deliveries)
    left = sum(left_over(deliveries=deliveries).values())
    by_weight = _weighed((each.mass_kg for each in deliveries), basis)
    delivered = total((_bags(came, bag), by_weight))
    again = _blown_again(fills, by_weight, basis)
    gone = _emptied(fills, bag, basis)
    rest, returned = total((_bags(left, bag), _open_bag(left, bag))), _bags(back, bag)
    difference = total((delivered, again, *(each.scaled(-1) for each in (gone, rest, returned))))
    return StockFinding(
        lot=stock.lot,
        material=stock.material if basis.materials.several else None,
        delivered_bags=came,
        delivered_kg=delivered.value,
        expanded_u_delivered_kg=delivered.expanded_u,
        blown_again_kg=again.value,
        expanded_u_blown_again_kg=again.expanded_u,
        emptied_kg=gone.value,
        expanded_u_emptied_kg=gone.expanded_u,
        left_over_bags=left,
        left_over_kg=rest.value,
        expanded_u_left_over_kg=rest.expanded_u,
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


def _emptied(fills: tuple[Fill, ...], bag: Measured, basis: Basis) -> Measured:
    counted = _bags(_sum(each.bags for each in fills), bag)
    return total((counted, _weighed((each.mass_kg for each in fills), basis)))


def _bags(bags: float, bag: Measured) -> Measured:
    return emptied(bags=bags, bag=bag, spread_kg=0.0, of="stock")


def _open_bag(left: float, bag: Measured) -> Measured:
    half_kg = bag.value * OPEN_BAG if left else 0.0
    return Measured(value=0.0, shares=(Share(name="open bag", of="open bag", u=rectangular(half=half_kg)),))


def _weighed(readings_kg: Iterable[float | None], basis: Basis) -> Measured:
    errors = basis.practice.uncertainties.weighing
    return total(weighed(reading_kg=reading, errors=errors) for reading in readings_kg if reading)


def _from_bags(fill: Fill) -> bool:
    return bool(fill.bags)


def _sum(values: Iterable[float | None]) -> float:
    return sum(value for value in values if value)
