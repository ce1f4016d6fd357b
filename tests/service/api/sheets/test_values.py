"""A cell becomes what its member can read, or stays as it is for the schema to refuse."""

from datetime import datetime
from typing import Any

import pytest

from schemas.sheets import HeadSheet, SurveySheet
from service.api.sheets.columns import column_of
from service.api.sheets.grid import Cell
from service.api.sheets.values import cell_of, value_of


@pytest.mark.parametrize(
    ("head", "value", "mark", "posted"),
    [
        ("width (m)", "11,2", "comma", 11.2),
        ("width (m)", "11.2", "comma", "11.2"),
        ("width (m)", "11.2", None, "11.2"),
        ("width (m)", 11.2, None, 11.2),
        ("width (cm)", 940, None, 9.4),
        ("width (in)", "100.5", "point", 2.5527),
        ("width (m)", True, None, True),
        ("count", "3", "point", 3),
        ("count", 3.0, None, 3),
        ("label", 7, None, "7"),
        ("label", 7.5, None, 7.5),
        ("label", "=x", "point", "=x"),
        ("dividers", "true", "point", True),
        ("dividers", "yes", "point", "yes"),
        ("profile (m)", "0/2,6 4,5/5,4", "comma", [[0, 2.6], [4.5, 5.4]]),
        ("layer 1 framing members at (m)", "0 0.6 1.2", "point", [0, 0.6, 1.2]),
        ("layer 1 framing members at (m)", "0 x", "point", [0, "x"]),
    ],
)
def test_a_cell_is_what_its_member_reads(head: str, value: Any, mark: str | None, posted: Any) -> None:
    found = value_of(Cell(value, "/Survey/A2"), column_of(SurveySheet(), head), mark)
    assert found == posted
    assert type(found) is type(posted)


def test_a_day_may_be_one_of_the_programs_own() -> None:
    column = column_of(HeadSheet(), "priced on")
    assert value_of(Cell(datetime(2026, 11, 25), "/Quote/B2"), column, None) == "2026-11-25"  # noqa: DTZ001
    assert value_of(Cell("25.11.2026", "/Quote/B2"), column, None) == "25.11.2026"


def test_lists_stand_in_one_cell() -> None:
    assert cell_of([[0.0, 2.6], [4.5, 5.4]], "comma") == "0,0/2,6 4,5/5,4"
    assert cell_of([0, 0.6], "point") == "0 0.6"
    assert cell_of(7.5, "comma") == 7.5
