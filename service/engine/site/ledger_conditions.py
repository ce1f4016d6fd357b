"""Conditions of what was said twice or not at all: bags, spill, lots, stock."""

from collections.abc import Collection, Iterator
from dataclasses import replace
from datetime import date

from service.engine.ground.messages import Quantity, message
from service.engine.ground.vocabulary import ConditionCode, Subject
from service.engine.site.condition import Condition
from service.engine.site.emptied import says_mass
from service.engine.site.entries import Delivery, Emptied, Fill, Reclaimed, Tally
from service.engine.site.ledger import Ledger
from service.engine.site.materials import Materials, not_offered
from service.engine.site.stock import StockFinding


def ledger_conditions(
    *, ledger: Ledger, materials: Materials, repeated: Collection[str] = ()
) -> Iterator[Condition]:
    """Everything that follows from the ledger alone; it is in order.

    `repeated` are the totals that say no more than was noted before them (`Gathered`).
    """
    yield from _counted_twice(ledger)
    yield from _spill_missing(ledger, repeated)
    yield from _lot_missing(ledger, several=materials.several)
    yield from _not_offered(ledger, materials)


def stock_conditions(*, stocks: tuple[StockFinding, ...]) -> Iterator[Condition]:
    """Stock that does not add up, of the job or of a lot, or was not recorded."""
    if not stocks:
        yield _unreconciled(Subject.STOCK, "stock_missing")
    for stock in stocks:
        if not stock.reconciled:
            yield _unreconciled(
                stock.lot or stock.material or Subject.STOCK,
                "stock_short" if stock.difference_kg > 0 else "stock_over",
                difference=Quantity(abs(stock.difference_kg), "kg"),
                delivered=Quantity(stock.delivered_kg, "kg"),
                emptied=Quantity(stock.emptied_kg, "kg"),
                left_over=Quantity(stock.left_over_kg, "kg"),
                returned=Quantity(stock.returned_kg, "kg"),
                expanded_u=Quantity(stock.expanded_u_difference_kg, "kg"),
            )


def _counted_twice(ledger: Ledger) -> Iterator[Condition]:
    """A tally with bags after fills of its part that does not say what its bags are, and a second tally."""
    filled: set[str] = set()
    tallied: set[str] = set()
    told: set[str] = set()
    for each in ledger.entries:
        if isinstance(each, Fill) and (each.bags or each.mass_kg):
            filled.add(each.cavity)
        if isinstance(each, Tally):
            unsaid = says_mass(each) and each.bags_are is None and each.cavity in filled
            if (unsaid or each.cavity in tallied) and each.cavity not in told:
                told.add(each.cavity)
                yield _twice(each.cavity, "tally_twice" if each.cavity in tallied else "tally_unsaid")
            tallied.add(each.cavity)


def _twice(cavity: str, how: str) -> Condition:
    return Condition(
        code=ConditionCode.COUNTED_TWICE,
        cavity=cavity,
        subject=cavity,
        detail=message(f"site.{how}", part=cavity),
        remedy=message(f"site.{how}_remedy", part=cavity),
        concedable=False,
    )


def _spill_missing(ledger: Ledger, repeated: Collection[str]) -> Iterator[Condition]:
    """Days of filling, by the clock of the site, without a word of spill; none vacuumed up is one.

    A word on a day without filling is of the last day before that had any, as its kilograms are. A total
    that says no more than was noted makes no day of filling.
    """
    filled: dict[date, dict[str, None]] = {}
    for each in ledger.of(Emptied):  # a total says how much in all, and not that a day was none
        if (each.bags or each.mass_kg) and each.id not in repeated:
            filled.setdefault(each.day, {})[each.cavity] = None
    days = {each.day for each in ledger.of(Reclaimed)}
    told = {max((day for day in filled if day <= each), default=each) for each in days}
    for day in sorted(filled.keys() - told):
        yield Condition(
            code=ConditionCode.SPILL_MISSING,
            cavity=None,
            subject=day.isoformat(),
            detail=message("site.spill_missing", day=day),
            remedy=message("site.spill_missing_remedy", day=day),
            concedable=False,
            parts=tuple(filled[day]),
        )


def _lot_missing(ledger: Ledger, *, several: bool) -> Iterator[Condition]:
    came = [each for each in ledger.of(Delivery) if each.bags is not None and each.from_job is None]
    counted = [each for each in ledger.fills if each.bags or each.mass_kg]
    unlabelled = sum(each.lot is None for each in came)
    if unlabelled:
        yield _no_lot(None, Subject.DELIVERY, "lot_of_delivery_missing", count=unlabelled)
    if len({each.lot for each in came}) > 1:
        silent = dict.fromkeys(each.cavity for each in counted if each.lot is None)
        for cavity in silent:
            # Where several materials came, the lot says what is in the wall: that nobody can concede.
            unsaid = _no_lot(cavity, cavity, "lot_of_part_missing", part=cavity)
            yield replace(unsaid, concedable=not several)

    known = {each.lot for each in ledger.of(Delivery)}
    for cavity, lot in dict.fromkeys((each.cavity, each.lot) for each in counted):
        if lot is not None and came and lot not in known:
            yield _no_lot(cavity, cavity, "lot_unknown", part=cavity, lot=lot)


def _not_offered(ledger: Ledger, materials: Materials) -> Iterator[Condition]:
    """Parts that another material went into: the offer's sheet says nothing of it."""
    for code, parts in not_offered(fills=ledger.fills, materials=materials).items():
        yield Condition(
            code=ConditionCode.MATERIAL_NOT_OFFERED,
            cavity=None,
            subject=code,
            detail=message(
                "site.material_not_offered", material=code, offered=materials.offered, parts=parts
            ),
            remedy=message("site.material_not_offered_remedy", material=code),
            concedable=False,
            parts=parts,
        )


def _no_lot(cavity: str | None, subject: str, how: str, **values: str | int) -> Condition:
    return Condition(
        code=ConditionCode.LOT_MISSING,
        cavity=cavity,
        subject=subject,
        detail=message(f"site.{how}", **values),
        remedy=message(f"site.{how}_remedy", **values),
    )


def _unreconciled(subject: str, how: str, **values: Quantity) -> Condition:
    return Condition(
        code=ConditionCode.STOCK_UNRECONCILED,
        cavity=None,
        subject=subject,
        detail=message(f"site.{how}", **values),
        remedy=message(f"site.{how}_remedy"),
    )
