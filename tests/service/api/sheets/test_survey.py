"""A survey's sheets become a quote's body: build-ups by name, widths or areas, faults at their cells."""

import pytest

from service.api.sheets import csv_file, survey
from service.api.sheets.rows import Read
from service.errors import InvalidInput

FILE = """decimal mark,point
Quote
reference,SO-1
practice,eu

Survey
label,element,area (m2),span (m),facing,build up
W1,wall,25,2.5,membrane,EW
W2,wall,10,2.5,membrane,LIB-1

Build-ups
code,layer 1 depth (mm),layer 1 framing member (mm),inside 1 name
EW,160,60,Board
"""


def read(text: str = FILE) -> Read:
    return survey.read(csv_file.read(text.encode(), survey.SHEETS))


def faults(text: str) -> dict[str, str]:
    with pytest.raises(InvalidInput) as raised:
        read(text)
    return {fault.pointer: fault.detail.code.removeprefix("sheets.") for fault in raised.value.faults}  # type: ignore[union-attr]


def test_a_build_up_of_the_file_gives_its_layers_and_any_other_is_the_librarys() -> None:
    one, other = read().body["cavities"]
    assert one["layers"] == [{"depth_mm": 160, "framing": {"member_mm": 60}}]
    assert one["inside"] == [{"name": "Board"}]
    assert "build_up" not in one
    assert other["build_up"] == "LIB-1"


def test_a_width_is_the_area_by_the_span() -> None:
    one, other = read().body["cavities"]
    assert (one["width_m"], other["width_m"]) == (10.0, 4.0)
    assert "area_m2" not in one


def test_members_know_their_cells_in_whichever_sheet() -> None:
    cells = read().cells
    assert cells["/reference"] == "/Quote/B3"
    assert cells["/cavities/1/span_m"] == "/Survey/D9"
    assert cells["/cavities/0/layers/0/depth_mm"] == "/Build-ups/B13"
    assert cells["/cavities/0/width_m"] == "/Survey/C8"


@pytest.mark.parametrize(
    ("old", "new", "cell", "fault"),
    [
        ("EW,160", "OTHER,160", "/Build-ups/A13", "build_up_unused"),
        ("EW,160,60,Board\n", "EW,160,60,Board\nEW,1,1,x\n", "/Build-ups/A14", "build_up_twice"),
        ("EW,160", ",160", "/Build-ups/A13", "build_up_without_code"),
        ("25,2.5", "25,", "/Survey/C8", "area_without_span"),
        ("25,2.5", "25,0", "/Survey/C8", "area_is_no_number"),
        ("25,2.5", "x,2.5", "/Survey/C8", "area_is_no_number"),
        ("practice,eu", "practise,eu", "/Quote/A4", "no_such_head"),
        ("practice,eu", "reference,eu", "/Quote/A4", "head_twice"),
        ("practice,eu", "practice,eu,us", "/Quote/C4", "cell_without_head"),
        ("label,element,area (m2)", "label,element,width (m)", "/Survey/C7", None),
    ],
)
def test_what_is_wrong_is_said_at_its_cell(old: str, new: str, cell: str, fault: str | None) -> None:
    text = FILE.replace(old, new, 1)
    if fault is None:
        assert read(text).body["cavities"][0]["width_m"] == 25
    else:
        assert faults(text)[cell] == fault


def test_both_sheets_that_are_needed_are_missed() -> None:
    with pytest.raises(InvalidInput):
        read("decimal mark,point\nQuote\nreference,SO-1\n")
    with pytest.raises(InvalidInput):
        read("decimal mark,point\nSurvey\nlabel\nW1\n")
