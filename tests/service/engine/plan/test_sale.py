"""What an office adds to a price, by the arithmetic of EN 16931-1."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from service.engine.ground.vocabulary import TaxCase
from service.engine.plan.price import Price
from service.engine.plan.price_list import TaxRate
from service.engine.plan.pricing import price
from service.engine.plan.sale import Discount, FreeLine, Payment, Sale, due, taxed
from service.errors import InvalidInput
from tests.builders import price_list
from tests.said import said

ON = date(2026, 11, 25)
NOBODY = {"en": "The recipient owes the tax."}


def rate(case: TaxCase, percent: str, since: date = date(2026, 1, 1)) -> TaxRate:
    return TaxRate(case=case, percent=Decimal(percent), in_force_from=since, text=NOBODY)


PRICES = replace(
    price_list(),
    tax_percent=Decimal(25),
    minimum_charge=Decimal(0),
    set_up=Decimal(0),
    discounts=(),
    taxes=(rate(TaxCase.REVERSE_CHARGE, "0"), rate(TaxCase.REDUCED, "12")),
)
NO_WORK: dict[str, Any] = {
    **dict.fromkeys(("mass_kg", "blowing_hours", "tape_m", "strip_m", "travel_km"), 0.0),
    **dict.fromkeys(("holes", "patches", "samples"), 0),
}


def sold(**said_of_it: Any) -> Price:
    """A price of nothing but what the office adds."""
    material = PRICES.material_per_kg[0].code
    basis = {"price_list": PRICES, "currency": PRICES.currency, "priced_on": ON, "material_code": material}
    return price(**basis, **NO_WORK, sale=Sale(**said_of_it))


def line(quantity: float, unit_price: str) -> FreeLine:
    return FreeLine(text={"en": "A line"}, quantity=quantity, unit="h", unit_price=Decimal(unit_price))


def test_net_is_the_lines_less_the_allowances() -> None:
    """EN 16931-1, BR-CO-13 and BR-CO-17 (from memory): 10 x 100 less 100 is 900, 25 % of it 225."""
    found = sold(lines=(line(10, "100.00"),), discount=Discount(amount=Decimal(100), reason="Loyalty"))
    assert (found.net, found.tax, found.total) == (Decimal("900.00"), Decimal("225.00"), Decimal("1125.00"))
    (off,) = found.allowances
    assert (off.code, off.base, off.amount, off.reason) == ("discount", 1000, 100, "Loyalty")
    assert found.work == 0


def test_a_share_is_rounded_to_the_cent() -> None:
    found = sold(lines=(line(1, "33.33"),), discount=Discount(percent=Decimal("2.5")))
    assert found.allowances[0].amount == Decimal("0.83")  # 0.83325
    assert found.net == Decimal("32.50")


def test_a_line_for_nothing_is_kept_and_no_more_than_there_is_is_taken_off() -> None:
    assert sold(lines=(line(1, "0"),)).lines[0].code == "free"
    with pytest.raises(InvalidInput) as caught:
        sold(lines=(line(1, "10"),), discount=Discount(amount=Decimal("10.01")))
    assert caught.value.faults[0].pointer == "/discount/amount"
    assert said(caught.value.faults[0].detail) == "No more than 10.00 can be taken off."


@pytest.mark.parametrize(
    ("case", "category", "tax"),
    [
        (TaxCase.STANDARD, "S", "25.00"),
        (TaxCase.REDUCED, "S", "12.00"),
        (TaxCase.REVERSE_CHARGE, "AE", "0.00"),
    ],
)
def test_each_case_of_tax_has_its_category(case: TaxCase, category: str, tax: str) -> None:
    """Codes of UNTDID 5305 as EN 16931-1 uses them (from memory)."""
    found = sold(lines=(line(1, "100"),), tax=case)
    assert (found.tax_category, found.tax) == (category, Decimal(tax))
    assert found.tax_text == ({} if case is TaxCase.STANDARD else NOBODY)


def test_a_rate_holds_from_its_day() -> None:
    rates = (rate(TaxCase.REDUCED, "10"), rate(TaxCase.REDUCED, "12", date(2026, 7, 1)))
    asked = {"case": TaxCase.REDUCED, "rates": rates, "standard": Decimal(20)}
    assert taxed(**asked, on=date(2026, 6, 30)).percent == 10
    assert taxed(**asked, on=date(2026, 7, 1)).percent == 12
    with pytest.raises(InvalidInput) as caught:
        taxed(**asked, on=date(2025, 12, 31))
    assert caught.value.faults[0].pointer == "/tax"


def test_payments_that_are_the_whole_add_up_to_it() -> None:
    thirds = tuple(Payment(percent=Decimal(p), due=p) for p in ("33.33", "33.33", "33.34"))
    amounts = [each.amount for each in due(payments=thirds, total=Decimal("100.01"), places=2)]
    assert amounts == [Decimal("33.33"), Decimal("33.33"), Decimal("33.35")]
    deposit = (Payment(percent=Decimal(30), due="on order"),)
    assert due(payments=deposit, total=Decimal("99.99"), places=2)[0].amount == Decimal("30.00")
    with pytest.raises(InvalidInput):
        due(payments=(*thirds, *deposit), total=Decimal(1), places=2)
