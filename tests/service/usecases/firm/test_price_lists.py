"""Prices are found by their currency and the day, whatever the list is called."""

from datetime import date
from typing import Any

import pytest
from sqlalchemy import Engine

from schemas.price_lists import PriceListBody
from service.errors import Conflict
from service.store import dated
from service.store.session import reading
from service.usecases.base.context import Context
from service.usecases.firm import price_lists
from tests.pointers import demo


def body(**changes: Any) -> Any:
    return PriceListBody().load({**demo("price-lists/eur-2026-10-01.json"), **changes})


def test_a_list_takes_over_in_its_currency_from_its_day_on(context: Context, database: Engine) -> None:
    price_lists.add(
        context, body(code="SEK-1", currency="SEK", in_force_from="2026-01-01", hole_each="40.00")
    )
    price_lists.add(
        context, body(code="SEK-2", currency="SEK", in_force_from="2026-12-01", hole_each="45.10")
    )

    def on(day: date) -> Any:
        with reading(database) as connection:
            row = dated.in_force(connection, "price_lists", firm_id=context.firm_id, code="SEK", on=day)
        return row and (row["data"]["code"], row["data"]["hole_each"])

    assert on(date(2025, 12, 31)) is None
    assert on(date(2026, 11, 30)) == ("SEK-1", "40.00")
    assert on(date(2026, 12, 1)) == ("SEK-2", "45.10")


def test_it_is_answered_under_its_own_code_and_with_exact_amounts(context: Context) -> None:
    added = price_lists.add(context, body(code="NOK-1", currency="NOK", hole_each="3.10"))
    assert (added["code"], added["currency"], added["hole_each"]) == ("NOK-1", "NOK", "3.10")
    assert added.pop("touches") == []
    assert added in price_lists.listed(context)["items"]


def test_the_same_twice_is_refused(context: Context) -> None:
    price_lists.add(context, body(code="DKK-1", currency="DKK"))
    with pytest.raises(Conflict):
        price_lists.add(context, body(code="DKK-1", currency="DKK"))
