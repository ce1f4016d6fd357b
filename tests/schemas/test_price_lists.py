"""A price list holds exact amounts, each code once; what cannot be is refused by pointer."""

from decimal import Decimal
from typing import Any

import pytest

from schemas.price_lists import PriceListBody
from service.engine.plan.price_list import PriceList
from tests.pointers import changed, demo, refused, refused_without

BODY = demo("price-lists/eur-2026-01-01.json")


@pytest.mark.parametrize("name", ["eur-2026-01-01", "eur-2026-10-01", "usd-2026-01-01"])
def test_the_demo_firms_lists_are_taken(name: str) -> None:
    assert refused(PriceListBody(), demo(f"price-lists/{name}.json")) == set()


def test_amounts_are_exact_and_come_out_as_they_were_posted() -> None:
    schema = PriceListBody()
    read = schema.load(changed(BODY, "/hole_each", "3.10"))
    assert (type(read["hole_each"]), str(read["hole_each"])) == (Decimal, "3.10")
    assert schema.load(schema.dump(read)) == read


def test_each_member_that_is_needed_is_missed_by_its_name() -> None:
    missed = refused_without(PriceListBody(), BODY)
    assert {"source", "currency", "tax_percent", "minimum_charge"} <= missed.keys()
    assert missed == {name: {f"/{name}"} for name in missed}


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("/hole_each", 3.15),
        ("/hole_each", "3.15001"),
        ("/hole_each", "-1"),
        ("/tax_percent", "60.1"),
        ("/currency", "eur"),
        ("/valid_days", 0),
        ("/valid_days", 731),
        ("/minor_units", 5),
        ("/material_per_kg", []),
        ("/material_per_kg/0/price", 1.35),
        ("/in_force_from", "01.01.2026"),
    ],
)
def test_what_cannot_be_is_refused_by_its_field(pointer: str, value: Any) -> None:
    assert refused(PriceListBody(), changed(BODY, pointer, value)) == {pointer}


EXTRA = {"code": "S", "text": {"en": "Scaffold"}, "unit": "m2", "unit_price": "7.50"}


@pytest.mark.parametrize(
    ("name", "row", "other"),
    [
        ("material_per_kg", {"code": "CF", "price": "1.35"}, {"code": "CF-2", "price": "1.35"}),
        ("extras", EXTRA, {**EXTRA, "code": "T"}),
        ("discounts", {"from_kg": "100", "percent": "5"}, {"from_kg": "200", "percent": "5"}),
    ],
)
def test_each_row_stands_once(name: str, row: dict[str, Any], other: dict[str, Any]) -> None:
    assert refused(PriceListBody(), {**BODY, name: [row, row]}) == {f"/{name}"}
    assert refused(PriceListBody(), {**BODY, name: [row, other]}) == set()


def test_of_one_weight_there_is_one_discount_however_it_is_written() -> None:
    rows = [{"from_kg": "100", "percent": "5"}, {"from_kg": "100.0", "percent": "6"}]
    assert refused(PriceListBody(), {**BODY, "discounts": rows}) == {"/discounts"}


def test_the_list_is_read_into_all_that_the_engine_knows_of_prices() -> None:
    assert PriceListBody().fields.keys() == set(PriceList.__dataclass_fields__)
