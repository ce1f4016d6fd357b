"""Rows of supplements hold what their tables have, and nothing becomes of one that has no name."""

import pytest
from sqlalchemy import Table

from service.engine.ground.vocabulary import SupplementState
from service.store.layout import supplements
from service.usecases.work.agreed import STATES
from tests.columns import assert_part_of, assert_row_of, name_of, words_of


@pytest.mark.parametrize(
    ("kind", "table"),
    [
        (supplements.Supplement, supplements.supplements),
        (supplements.SupplementCavity, supplements.supplement_cavities),
        (supplements.SupplementStep, supplements.supplement_steps),
    ],
    ids=name_of,
)
def test_a_row_has_the_columns_of_its_table(kind: type, table: Table) -> None:
    assert_row_of(kind, table)


def test_a_line_has_columns_of_its_table() -> None:
    assert_part_of(supplements.SupplementLine, supplements.supplement_cavities)


def test_every_step_that_is_stored_leads_to_a_state_or_takes_over() -> None:
    assert words_of(supplements.supplement_steps.c.kind) == {*STATES, "takeover"}
    assert set(STATES.values()) == set(SupplementState)
