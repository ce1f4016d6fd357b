"""Rows under heads become bodies; numbered members close up, and every one knows its cell."""

from schemas.sheets import SurveySheet
from service.api.sheets.grid import Cell, Row
from service.api.sheets.rows import as_table, under_heads
from service.errors import Fault


def row(number: int, *values: object) -> Row:
    return tuple(Cell(value, f"/Survey/{chr(65 + at)}{number}") for at, value in enumerate(values))  # type: ignore[arg-type]


def test_a_row_becomes_a_body_and_its_cells_are_known() -> None:
    faults: list[Fault] = []
    rows = (
        row(1, "label", "opening 1 width (m)", "opening 2 width (m)", "opening 2 height (m)", "facing"),
        row(2, "W1", None, "1.2", "0.6", None),
    )
    (read,) = under_heads(SurveySheet(), rows, "point", faults)
    assert faults == []
    assert read.body == {"label": "W1", "openings": [{"width_m": 1.2, "height_m": 0.6}]}
    assert read.cells["/openings/0/width_m"] == "/Survey/C2"
    # What is empty is known too: that is where it is missing.
    assert (read.cells["/facing"], read.cells[""]) == ("/Survey/E2", "/Survey/A2")


def test_what_is_wrong_with_heads_is_said_at_each() -> None:
    faults: list[Fault] = []
    rows = (row(1, "label", "width", "colour", "label", None), row(2, "W1", 1, 2, 3, "stray"))
    list(under_heads(SurveySheet(), rows, "point", faults))
    found = [(fault.pointer, fault.detail.code) for fault in faults]  # type: ignore[union-attr]
    assert ("/Survey/B1", "sheets.head_needs_unit") in found
    assert ("/Survey/C1", "sheets.no_such_head") in found
    assert ("/Survey/D1", "sheets.head_twice") in found
    assert ("/Survey/E2", "sheets.cell_without_head") in found


def test_a_table_has_a_column_for_each_member_that_any_row_has() -> None:
    bodies = [{"label": "A", "openings": [{"width_m": 1.0}]}, {"label": "B", "width_m": 5.0}]
    assert as_table(SurveySheet(), bodies, "point") == [
        ["label", "width (m)", "opening 1 width (m)"],
        ["A", None, 1.0],
        ["B", 5.0, None],
    ]
