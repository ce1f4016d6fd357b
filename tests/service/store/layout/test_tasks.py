"""Rows of what is to be done hold what their tables have."""

import pytest
from sqlalchemy import Table

from service.store import tasks as store
from service.store.layout import tasks
from tests.columns import assert_row_of, name_of


@pytest.mark.parametrize(("kind", "table"), [(tasks.Task, tasks.tasks)], ids=name_of)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_figures_add_up_what_is_spent() -> None:
    figures = set(tasks.TaskFigures.__annotations__)
    assert figures == {column.name for column in store.FIGURES.c}
    assert {column.name for column in tasks.spent.c} - {"firm_id"} <= figures
