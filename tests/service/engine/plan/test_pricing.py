"""Prices against published invoice arithmetic, and lines that always add up."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.engine.ground.vocabulary import Standing
from service.engine.plan.price import Price
from service.engine.plan.price_list import Extra, ExtraOrder, MaterialPrice, PriceList, VolumeDiscount
from service.engine.plan.pricing import price
from service.engine.plan.sale import rounded
from service.errors import InvalidInput
from tests.said import said

LIST = PriceList(
    source="price list of the firm, 2026",
    standing=Standing.DECLARED,
    code="PL-26",
    name="Prices 2026",
    currency="EUR",
    in_force_from=date(2026, 1, 1),
    valid_days=30,
    tax_percent=Decimal("20"),
    material_per_kg=(MaterialPrice(code="CF-STD", price=Decimal("1.35")),),
    blowing_per_hour=Decimal("96.00"),
    hole_each=Decimal("2.50"),
    patch_each=Decimal("3.20"),
    tape_per_m=Decimal("1.15"),
    strip_per_m=Decimal("4.80"),
    set_up=Decimal("140.00"),
    travel_per_km=Decimal("0.90"),
    sample_each=Decimal("18.00"),
    minimum_charge=Decimal("450.00"),
    discounts=(
        VolumeDiscount(from_kg=Decimal(500), percent=Decimal(3)),
        VolumeDiscount(from_kg=Decimal(1000), percent=Decimal(5)),
    ),
    extras=(Extra(code="SCAFFOLD", text={"en": "Scaffold"}, unit="m2", unit_price=Decimal("7.40")),),
)

FREE = replace(
    LIST,
    material_per_kg=(MaterialPrice(code="CF-STD", price=Decimal(0)),),
    set_up=Decimal(0),
    minimum_charge=Decimal(0),
)

JOB = {
    "currency": "EUR",
    "priced_on": date(2026, 11, 25),
    "material_code": "CF-STD",
    "mass_kg": 457.706,
    "blowing_hours": 1.2333,
    "holes": 16,
    "patches": 18,
    "tape_m": 9.6,
    "strip_m": 0.0,
    "samples": 2,
    "travel_km": 38.0,
}

NOTHING = JOB | {"mass_kg": 0.0, "blowing_hours": 0.0, "holes": 0, "patches": 0, "tape_m": 0.0}
NOTHING |= {"samples": 0, "travel_km": 0.0}


def amounts(priced: Price) -> dict[str, Decimal]:
    return {line.code: line.amount for line in priced.lines}


def test_every_line_and_the_total_of_a_job():
    priced = price(price_list=LIST, **JOB, extras=(ExtraOrder(code="SCAFFOLD", quantity=24.5),))
    # Arithmetic by hand: 457.71 x 1.35 = 617.9085; 1.23 x 96 = 118.08; 16 x 2.50; 18 x 3.20;
    # 9.6 x 1.15 = 11.04; 2 x 18; 140; 38 x 0.90 = 34.20; 24.5 x 7.40 = 181.30.
    assert amounts(priced) == {
        "material": Decimal("617.91"),
        "blowing": Decimal("118.08"),
        "holes": Decimal("40.00"),
        "patches": Decimal("57.60"),
        "tape": Decimal("11.04"),
        "samples": Decimal("36.00"),
        "set_up": Decimal("140.00"),
        "travel": Decimal("34.20"),
        "SCAFFOLD": Decimal("181.30"),
    }
    assert (priced.net, priced.tax, priced.total) == (
        Decimal("1236.13"),
        Decimal("247.23"),  # 247.226
        Decimal("1483.36"),
    )
    assert (priced.currency, priced.price_list) == ("EUR", "PL-26")
    assert priced.provenance.source.startswith("EN 16931-1")
    assert priced.provenance.source.endswith(LIST.source)


def test_published_invoice_with_one_line():
    # Example invoice 9 published with the EN 16931 validation artefacts (TC 434): 3 x 49.00, VAT 21 %.
    rent = Extra(code="RENT", text={"en": "Rent"}, unit="month", unit_price=Decimal("49.00"))
    prices = replace(FREE, extras=(rent,), tax_percent=Decimal(21))
    priced = price(price_list=prices, **NOTHING, extras=(ExtraOrder(code="RENT", quantity=3),))
    assert (priced.net, priced.tax, priced.total) == (Decimal("147.00"), Decimal("30.87"), Decimal("177.87"))


@pytest.mark.parametrize(
    ("taxable", "percent", "tax"),
    [("183.23", "6", "10.99"), ("46.37", "21", "9.74")],
)
def test_published_tax_amounts(taxable, percent, tax):
    # Example invoice 1 published with the EN 16931 validation artefacts (TC 434): tax by category.
    prices = replace(FREE, minimum_charge=Decimal(taxable), tax_percent=Decimal(percent))
    assert price(price_list=prices, **NOTHING).tax == Decimal(tax)


@pytest.mark.parametrize(
    ("value", "places", "expected"),
    [
        ("0.125", 2, "0.13"),
        ("0.135", 2, "0.14"),
        ("-0.125", 2, "-0.13"),
        ("0.5", 0, "1"),
        ("1.0005", 3, "1.001"),
    ],
)
def test_halves_round_up(value, places, expected):
    # Council Regulation (EC) 1103/97, article 5: a result exactly half-way is rounded up.
    assert rounded(value=Decimal(value), places=places) == Decimal(expected)


@pytest.mark.parametrize(
    ("currency", "minor_units", "net"),
    [("JPY", 0, Decimal("618")), ("EUR", 2, Decimal("617.91")), ("KWD", 3, Decimal("617.909"))],
)
def test_minor_units_of_the_currency(currency, minor_units, net):
    # ISO 4217: the yen has no minor unit, the Kuwaiti dinar three decimals. 457.71 x 1.35 = 617.9085.
    prices = replace(LIST, currency=currency, minor_units=minor_units, set_up=Decimal(0))
    prices = replace(prices, minimum_charge=Decimal(0))
    priced = price(price_list=prices, **NOTHING | {"currency": currency, "mass_kg": 457.706})
    assert (priced.net, priced.net.as_tuple().exponent) == (net, -minor_units)
    assert priced.tax.as_tuple().exponent == -minor_units


@pytest.mark.parametrize(
    ("mass_kg", "discount"),
    [(499.99, None), (500.0, Decimal("20.25")), (999.99, Decimal("40.50")), (1000.0, Decimal("67.50"))],
)
def test_discount_is_that_of_the_highest_tier_reached(mass_kg, discount):
    # 500 x 1.35 x 3 % = 20.25; 999.99 x 1.35 = 1349.99, 3 % of it 40.4997; 1000 x 1.35 x 5 % = 67.50.
    priced = price(price_list=LIST, **JOB | {"mass_kg": mass_kg})
    assert {each.code: each.amount for each in priced.allowances}.get("volume_discount") == discount
    assert all(line.unit_price >= 0 for line in priced.lines)


def test_minimum_charge_lifts_the_net_by_a_line_of_its_own():
    priced = price(price_list=LIST, **NOTHING | {"mass_kg": 100.0})
    assert amounts(priced) == {
        "material": Decimal("135.00"),
        "set_up": Decimal("140.00"),
        "minimum_charge": Decimal("175.00"),
    }
    assert (priced.net, priced.total) == (Decimal("450.00"), Decimal("540.00"))


def test_an_extra_that_was_ordered_keeps_its_line_even_for_nothing():
    survey = Extra(code="SURVEY", text={"en": "Survey"}, unit="visit", unit_price=Decimal(0))
    prices = replace(LIST, extras=(survey,))
    ordered = price(price_list=prices, **JOB, extras=(ExtraOrder(code="SURVEY", quantity=1),))
    assert amounts(ordered)["SURVEY"] == 0


def test_pieces_are_counted_and_the_rest_is_measured_to_two_decimals():
    quantities = {line.code: str(line.quantity) for line in price(price_list=LIST, **JOB).lines}
    assert (quantities["holes"], quantities["material"], quantities["tape"]) == ("16", "457.71", "9.60")


def test_a_price_list_holds_from_its_first_day():
    assert price(price_list=LIST, **JOB | {"priced_on": LIST.in_force_from}).price_list == "PL-26"


def test_everything_that_the_price_list_cannot_answer_is_named_at_once():
    with pytest.raises(InvalidInput) as caught:
        price(
            price_list=LIST,
            **JOB | {"currency": "USD", "material_code": "CF-X", "priced_on": date(2025, 12, 31)},
            extras=(ExtraOrder(code="SCAFFOLD", quantity=1), ExtraOrder(code="CRANE", quantity=1)),
        )
    assert [(fault.pointer, said(fault.detail)) for fault in caught.value.faults] == [
        ("/currency", "The price list PL-26 is in EUR, not in USD."),
        ("/priced_on", "The price list PL-26 is in force only from 1 January 2026."),
        ("/material", "The price list PL-26 has no price for the material CF-X."),
        ("/extras/1/code", "The price list PL-26 has no extra CRANE."),
    ]


money = st.decimals(min_value=0, max_value=2000, places=4)
size = st.floats(min_value=0, max_value=20000)
number = st.integers(min_value=0, max_value=900)


@given(
    prices=st.builds(
        replace,
        st.just(LIST),
        material_per_kg=st.builds(
            lambda each: (MaterialPrice(code="CF-STD", price=each),), st.decimals(0, 9, places=4)
        ),
        blowing_per_hour=money,
        tape_per_m=money,
        minimum_charge=st.decimals(min_value=0, max_value=5000, places=2),
        tax_percent=st.decimals(min_value=0, max_value=27, places=2),
        minor_units=st.just(2),
    ),
    job=st.fixed_dictionaries(
        {"mass_kg": size, "blowing_hours": size, "tape_m": size, "strip_m": size, "travel_km": size}
        | {"holes": number, "patches": number, "samples": number}
    ),
)
def test_lines_add_up_to_the_cent(prices, job):
    priced = price(price_list=prices, **JOB | job)
    cent = Decimal("0.01")
    off = sum((each.amount for each in priced.allowances), Decimal(0))
    assert sum((line.amount for line in priced.lines), Decimal(0)) - off == priced.net
    assert priced.net + priced.tax == priced.total
    assert priced.net >= prices.minimum_charge
    assert abs(priced.tax - priced.net * prices.tax_percent / 100) <= cent / 2
    for line in priced.lines:
        assert line.amount == line.amount.quantize(cent)
        assert abs(line.amount - line.quantity * line.unit_price) <= cent / 2
