"""Rows of a firm hold what its tables have."""

import pytest
from sqlalchemy import Table

from service.store.layout import firm
from tests.columns import assert_part_of, assert_row_of, name_of


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (firm.Firm, firm.firms),
        (firm.Crew, firm.crews),
        (firm.Key, firm.keys),
        (firm.Version, firm.materials),
        (firm.Version, firm.price_lists),
        (firm.Version, firm.lances),
        (firm.Version, firm.practices),
        (firm.Version, firm.build_ups),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_a_head_has_columns_of_its_table() -> None:
    assert_part_of(firm.KeyHead, firm.keys)
