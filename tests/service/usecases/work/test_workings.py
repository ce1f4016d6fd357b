"""What a building is worked out to is kept with a row for each cavity, and one of several by itself."""

from datetime import date
from typing import Any

from service.api.firm_files import read_firm
from service.usecases.base.json import to_json
from service.usecases.work import basis, takeoffs
from service.usecases.work.workings import cavity_rows
from tests.api import DEMO, small_building

DAY = date(2026, 11, 25)


def test_each_cavity_has_a_row_and_one_of_several_stands_by_itself() -> None:
    wall, attic = small_building()["cavities"]
    body: Any = small_building(cavities=[{**wall, "count": 3}, attic])
    in_force = basis.of_files(read_firm(DEMO), body=body, on=DAY)
    found = takeoffs.work_out(in_force, body, DAY)
    walls, attics = cavity_rows(in_force, takeoffs.surveyed_by(in_force, body), found.cavities)
    assert [row["label"] for row in (walls, attics)] == [wall["label"], attic["label"]]
    assert (walls["count"], attics["count"], attics["single"], attics["single_line"]) == (3, 1, None, None)
    assert walls["line"]["line"]["count"] == 3
    assert to_json(walls["single"])["mass_kg"] * 3 > walls["mass_kg"] * 0.99
