"""Rows that keep the rest hold what their tables have."""

import pytest
from sqlalchemy import Table

from service.store.layout import keeping
from tests.columns import assert_row_of, name_of


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (keeping.Seal, keeping.seals),
        (keeping.Import, keeping.imports),
        (keeping.Answer, keeping.answers),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)
