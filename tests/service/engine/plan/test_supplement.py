"""A supplement is the job with it less the job before: set-up and the minimum are in both, and paid once.

Worked by hand with the price list of the tests (its figures are invented): 100 kg more at 1.35 are 135.00.
"""

from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.plan.price import Price
from service.engine.plan.price_list import PriceList
from service.engine.plan.pricing import price
from service.engine.plan.sale import FreeLine, Sale
from service.engine.plan.supplement import ROUNDING, difference, more
from tests import builders
from tests.service.engine.plan.test_pricing import JOB, LIST


def priced(price_list: PriceList = LIST, **changes: Any) -> Price:
    """The job of the tests with other quantities."""
    return price(price_list=price_list, **{**JOB, **changes})


def codes(found: Price) -> list[str]:
    """What its lines are for."""
    return [line.code for line in found.lines]


def test_it_has_what_is_more_of_each_line_and_no_set_up() -> None:
    bare = replace(LIST, discounts=(), minimum_charge=Decimal(0))
    found = difference(before=priced(bare, mass_kg=200.0), after=priced(bare, mass_kg=300.0))
    (line,) = found.lines
    assert (line.code, line.quantity, line.unit_price) == ("material", Decimal("100.00"), Decimal("1.35"))
    assert (line.amount, found.net) == (Decimal("135.00"), Decimal("135.00"))


def test_below_the_minimum_it_costs_nothing_until_the_whole_reaches_it() -> None:
    least = replace(LIST, discounts=(), minimum_charge=Decimal(5_000))
    before, after = priced(least, mass_kg=200.0), priced(least, mass_kg=300.0)
    found = difference(before=before, after=after)
    assert found.net == 0
    assert codes(found) == ["material", "minimum_charge"]


def test_a_discount_that_the_whole_reaches_is_the_supplement_s() -> None:
    found = difference(before=priced(mass_kg=490.0), after=priced(mass_kg=510.0))
    assert "volume_discount" in {each.code for each in found.allowances}
    assert found.net < Decimal("27.00")


def test_own_lines_are_those_that_came() -> None:
    old, new = (
        FreeLine(text={"en": text}, quantity=1, unit="piece", unit_price=Decimal(80))
        for text in ("Old", "New")
    )
    found = difference(before=priced(sale=Sale(lines=(old,))), after=priced(sale=Sale(lines=(old, new))))
    assert [line.text for line in found.lines] == [{"en": "New"}]


KILOGRAMS = st.floats(0, 3_000)


@given(before=KILOGRAMS, after=KILOGRAMS, holes=st.integers(0, 50))
def test_its_amounts_add_up_to_the_difference_to_the_coin(before: float, after: float, holes: int) -> None:
    one, other = priced(mass_kg=before), priced(mass_kg=after, holes=holes)
    found = difference(before=one, after=other)
    lines, off = (sum((each.amount for each in some), Decimal(0)) for some in (found.lines, found.allowances))
    assert lines - off == found.net == other.net - one.net
    for line in found.lines:
        assert line.amount == (line.quantity * line.unit_price).quantize(Decimal("0.01"), ROUND_HALF_UP)
        assert line.unit_price >= 0 or line.code != ROUNDING
    assert found.total == found.net + found.tax == other.total - one.total


def test_what_a_job_takes_more() -> None:
    wall, stud = builders.wall(), builders.stud_wall()
    before, after = (builders.worked(*each).found for each in ((wall,), (wall, stud)))
    found = more(before=before, after=after)
    assert found.mass_kg == pytest.approx(after.cavities[1].mass_kg)
    assert found.holes == after.cavities[1].fill_plan.holes
    less = more(before=after, after=before)
    assert less.bags == -found.bags
