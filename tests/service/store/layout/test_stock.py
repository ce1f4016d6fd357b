"""Rows of the stock hold what their tables have."""

import pytest
from sqlalchemy import Table

from service.engine.site.firm_stock import ADDED_UP
from service.store.layout import stock
from service.store.stock import FIGURES
from tests.columns import assert_row_of, name_of


@pytest.mark.parametrize(
    ("kind", "table"),
    [(stock.StockLot, stock.stock_lots), (stock.StockMaterial, stock.stock_materials)],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_what_the_engine_adds_up_is_kept() -> None:
    assert FIGURES == ADDED_UP
