"""XLSX is bounded before it is parsed, declares no entities, and has values where it has formulas."""

import io
import zipfile
from datetime import date

import openpyxl
import pytest

from service.api.sheets import xlsx_file
from service.api.sheets.xlsx_file import read, written
from service.errors import InvalidInput, Malformed

NAMES = ("Quote", "Survey")
SHEET = "xl/worksheets/sheet1.xml"


def file(*rows: list[object], name: str = "Survey") -> bytes:
    """A file as a spreadsheet program would write it."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = name
    for row in rows:
        sheet.append(row)
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def with_member(content: bytes, name: str, change: object) -> bytes:
    """The file with one of its members changed, or another one added."""
    target = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        members = {each.filename: old.read(each) for each in old.infolist()}
        members[name] = change(members.get(name, b""))  # type: ignore[operator]
        for each, inside in members.items():
            new.writestr(each, inside)
    return target.getvalue()


def fault_of(content: bytes) -> tuple[str, str]:
    with pytest.raises(InvalidInput) as raised:
        read(content, NAMES)
    (found,) = raised.value.faults
    return found.pointer, found.detail.code  # type: ignore[union-attr]


def test_what_is_written_is_read_again_and_text_is_no_formula() -> None:
    tables = {
        "Quote": [["reference", "=1+1"], ["priced on", date(2026, 11, 25)]],
        "Survey": [["label"], [-1.5], [True]],
    }
    book = read(written(tables), NAMES)
    assert [[cell.value for cell in row] for row in book.sheets["Quote"]] == [
        ["reference", "=1+1"],
        ["priced on", "2026-11-25"],
    ]
    assert [row[0].value for row in book.sheets["Survey"]] == ["label", -1.5, True]
    assert [row[0].place for row in book.sheets["Survey"]] == ["/Survey/A1", "/Survey/A2", "/Survey/A3"]


def test_a_formula_is_read_as_its_stored_value_or_refused() -> None:
    content = file(["label", "width (m)"], ["W1", "=2*5.6"])
    assert fault_of(content) == ("/Survey/B2", "sheets.formula_without_value")
    stored = with_member(
        content, SHEET, lambda xml: xml.replace(b"<v></v>", b"<v>11.2</v>").replace(b"<v />", b"<v>11.2</v>")
    )
    (_, row) = read(stored, NAMES).sheets["Survey"]
    assert row[1].value == 11.2
    wrong = file(["label", "width (m)"], ["W1", "#DIV/0!"])
    assert fault_of(wrong) == ("/Survey/B2", "sheets.error_value")


def test_an_unknown_sheet_is_refused_and_one_that_explains_is_not_read() -> None:
    assert fault_of(file(["x"], name="Prices")) == ("/Prices", "sheets.no_such_sheet")
    assert read(file(["x"], name="Columns"), NAMES).sheets == {}


@pytest.mark.parametrize(
    "change",
    [
        lambda xml: xml.replace(b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "b">]><worksheet', 1),
        lambda xml: xml.decode().encode("utf-16"),
        lambda xml: xml.replace(b'r="A1"', b'r="XFD1"'),
        lambda xml: xml.replace(b'r="A1"', b'r="A1048576"'),
        lambda _: b"<worksheet><sheetData>" + b"<row/>" * 6000 + b"</sheetData></worksheet>",
        lambda _: b"<worksheet>" + b" " * (xlsx_file.MOST_UNPACKED + 1),
        lambda _: b"<worksheet><sheetData><row>",
    ],
    ids=["entity", "UTF-16", "far right", "far down", "rows", "bomb", "cut short"],
)
def test_what_is_hostile_is_refused_before_it_is_parsed(change: object) -> None:
    with pytest.raises(Malformed):
        read(with_member(file(["label"], ["W1"]), SHEET, change), NAMES)


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"decimal mark,point\n"])
def test_what_is_no_such_file_is_refused(content: bytes) -> None:
    with pytest.raises(Malformed):
        read(content, NAMES)


def test_too_many_sheets_or_members_are_refused() -> None:
    content = file(["label"])
    for number in range(2, 12):
        content = with_member(content, f"xl/worksheets/sheet{number}.xml", lambda _: b"<worksheet/>")
    with pytest.raises(Malformed):
        read(content, NAMES)
