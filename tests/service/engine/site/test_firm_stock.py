"""Material across jobs, by hand."""

from collections import Counter

from service.engine.site.entries import Delivery, Fill, Reclaimed
from service.engine.site.firm_stock import (
    StockLine,
    Wanted,
    delivered_bags,
    said_of_lots,
    stock_line,
    to_order,
)
from service.engine.site.ledger import Ledger

SAID = {"id": "0197f000-0000-7000-8000-000000000001", "happened_at": "2026-11-25T08:00:00Z", "by": "A hand"}


def delivery(**fields: object) -> Delivery:
    return Delivery(**SAID, **fields)  # type: ignore[arg-type]


FIRST = Ledger(
    entries=(
        delivery(lot="L1", bags=60),
        delivery(lot="L1", left_over=8, returned=2),
        Reclaimed(**SAID, mass_kg=14.0),  # type: ignore[arg-type]
    )
)
SECOND = Ledger(entries=(delivery(lot="L1", bags=5, from_job="J-1"), delivery(mass_kg=10.0, from_job="J-1")))


def stock_lines(*ledgers: Ledger) -> tuple[StockLine, ...]:
    """The lots of some jobs, all of one material, added up."""
    sums: dict[tuple[str, str], Counter[str]] = {}
    for ledger in ledgers:
        for of, figures in said_of_lots(material="CF", ledger=ledger).items():
            sums.setdefault(of, Counter()).update(figures)
    return tuple(
        stock_line(material=material, lot=lot, figures=row) for (material, lot), row in sorted(sums.items())
    )


def test_what_is_left_over_is_there_until_another_job_takes_it() -> None:
    loose, lot = stock_lines(FIRST, SECOND)
    assert (lot.lot, lot.delivered_bags, lot.returned_bags, lot.left_over_bags) == ("L1", 60, 2, 8)
    assert (lot.taken_bags, lot.there_bags, lot.blown_bags) == (5, 3, 50)
    assert (loose.lot, loose.reclaimed_kg, loose.taken_kg, loose.there_kg) == (None, 14, 10, 4)


def test_what_is_left_over_each_evening_is_there_once() -> None:
    """What a job's own stock says: the last count, and not what was still to be blown then."""
    (lot,) = stock_lines(
        Ledger(
            entries=(delivery(lot="L1", bags=60), *(delivery(lot="L1", left_over=bags) for bags in (25, 3)))
        )
    )
    assert (lot.left_over_bags, lot.there_bags, lot.blown_bags) == (3, 3, 57)


def test_what_is_left_of_a_lot_is_of_its_material() -> None:
    came = (delivery(lot="L1", bags=60), delivery(lot="X1", bags=10, material="XF"))
    ledger = Ledger(entries=(*came, delivery(lot="X1", left_over=4)))
    assert {(each.material, each.lot): each.there_bags for each in stock_lines(ledger)} == {
        ("CF", "L1"): 0,
        ("XF", "X1"): 4,
    }


def test_spill_that_is_blown_again_is_there_no_more() -> None:
    """10 kg of another job and 4 of its own 6: of both jobs' 20 kg another 6 must be there."""
    fill = Fill(**SAID, cavity="W1", mass_kg=14.0, from_spill=True)  # type: ignore[arg-type]
    swept = Reclaimed(**SAID, mass_kg=6.0)  # type: ignore[arg-type]
    other = Ledger(entries=(delivery(mass_kg=10.0, from_job="J-1"), fill, swept))
    loose = stock_lines(FIRST, other)[0]
    assert (loose.reclaimed_kg, loose.taken_kg, loose.there_kg) == (20, 14, 6)


def test_to_order_is_planned_less_what_came_and_what_is_there() -> None:
    wanted = [
        Wanted(job="J-3", material="CF", bags=40, delivered_bags=10),
        Wanted(job="J-4", material="CF", bags=20, delivered_bags=25),
        Wanted(job="J-5", material="XF", bags=7, delivered_bags=0),
    ]
    cellulose, other = to_order(wanted=wanted, there={"CF": 3.0})
    # What came to J-4 beyond its plan is not another job's until that says so: 30 less the 3 there.
    assert (cellulose.planned_bags, cellulose.delivered_bags, cellulose.order_bags) == (60, 35, 27)
    assert (other.there_bags, other.order_bags) == (0, 7)


def test_what_came_of_another_material_is_not_what_a_job_waits_for() -> None:
    came = (delivery(bags=30), delivery(bags=5, from_job="J-1"), delivery(lot="X1", bags=40, material="XF"))
    assert delivered_bags(material="CF", ledger=Ledger(entries=came)) == 35
    assert delivered_bags(material="CF", ledger=Ledger(entries=came[2:])) == 0


def test_more_taken_over_than_was_left_is_a_contradiction_and_nothing_is_there() -> None:
    taken = Ledger(entries=(delivery(bags=11, from_job="J-1"),))
    unnamed, lot = stock_lines(FIRST, taken)
    assert (unnamed.there_bags, unnamed.contradicted_bags) == (0, 11)
    assert (lot.there_bags, lot.contradicted_bags) == (8, 0)
    wanted = [Wanted(job="J-3", material="CF", bags=20, delivered_bags=0)]
    (order,) = to_order(wanted=wanted, there={"CF": 8.0 - 11.0})
    # Eleven of one lot or another are gone: nobody counts on the eight.
    assert (order.there_bags, order.order_bags) == (0, 20)
