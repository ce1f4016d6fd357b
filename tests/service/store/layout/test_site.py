"""Rows of what was recorded hold what their tables have."""

import pytest
from sqlalchemy import Table

from service.store.layout import site
from tests.columns import assert_part_of, assert_row_of, name_of


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (site.Entry, site.entries),
        (site.Photo, site.photos),
        (site.Concession, site.concessions),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_a_head_has_columns_of_its_table() -> None:
    assert_part_of(site.PhotoBase, site.photos)
