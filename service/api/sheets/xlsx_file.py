"""Spreadsheets as XLSX (ISO/IEC 29500), bounded before anything in them is parsed.

The package is a ZIP file of XML: how much it unpacks to, how many sheets, rows and cells it has
and that it declares no entities is seen in its bytes. Formulas are read as the values that were
stored with them, and refused where none was.

The library is imported where a file is read or written: a command that does neither has no use for it.
"""

import io
import re
import zipfile
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from service.api.sheets.grid import (
    MOST_CELLS,
    MOST_ROWS,
    MOST_SHEETS,
    Book,
    Cell,
    Row,
    Value,
    place_of,
    refused,
)
from service.engine.ground.messages import message
from service.errors import BaywrightError, Malformed

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
MOST_MEMBERS = 200
MOST_UNPACKED = 16 * 1024 * 1024
SHEET = re.compile(r"xl/worksheets/[^/]+\.xml")
ROW, CELL = (re.compile(rf"<(?:\w+:)?{tag}[\s>/]".encode()) for tag in ("row", "c"))
COORDINATE = re.compile(rb"""\sr\s*=\s*["']\$?([A-Z]*)\$?([0-9]*)["']""")
LONGEST_LETTERS = 2
WIDE = 22
NOTES = "Columns"
"""A sheet that explains the others, and is not read."""


def read(content: bytes, names: Collection[str]) -> Book:
    """The sheets of a file, which may have these names; raises Malformed or InvalidInput at the cell."""
    try:
        _check(content)
        formulas = _opened(content, data_only=False)
        stored = _opened(content, data_only=True)
        return Book(sheets=dict(_sheets(formulas, stored, names)), mark=None)
    except BaywrightError:
        raise
    # The library raises anything at all for what is no such file.
    except Exception as error:
        raise Malformed(message("sheets.not_xlsx")) from error


def _check(content: bytes) -> None:
    with zipfile.ZipFile(io.BytesIO(content)) as package:
        members = package.infolist()
        if len(members) > MOST_MEMBERS or sum(each.file_size for each in members) > MOST_UNPACKED:
            raise _too_large()
        sheets = 0
        rows = cells = 0
        for member in members:
            xml = package.read(member) if member.filename.endswith((".xml", ".rels")) else b""
            _refuse_entities(xml)
            if SHEET.fullmatch(member.filename):
                sheets += 1
                rows, cells = rows + len(ROW.findall(xml)), cells + len(CELL.findall(xml))
                _check_places(xml)
        if sheets > MOST_SHEETS or rows > MOST_ROWS or cells > MOST_CELLS:
            raise _too_large()


def _too_large() -> Malformed:
    return Malformed(message("sheets.too_large", rows=MOST_ROWS, cells=MOST_CELLS))


def _refuse_entities(xml: bytes) -> None:
    """Refuse a declaration of entities, and XML in which it could not be seen."""
    if b"<!DOCTYPE" in xml or b"<!ENTITY" in xml or b"\x00" in xml or xml[:2] in (b"\xfe\xff", b"\xff\xfe"):
        raise Malformed(message("sheets.has_entities"))


def _check_places(xml: bytes) -> None:
    """Refuse a cell far away: the library would fill the way to it with empty ones."""
    for column, row in COORDINATE.findall(xml):
        if len(column) > LONGEST_LETTERS or len(row) > len(str(MOST_ROWS)) or int(row or 1) > MOST_ROWS:
            raise _too_large()


def _opened(content: bytes, *, data_only: bool) -> Any:
    import openpyxl

    return openpyxl.load_workbook(
        io.BytesIO(content), read_only=True, data_only=data_only, keep_links=False, keep_vba=False
    )


def _sheets(formulas: Any, stored: Any, names: Collection[str]) -> Iterator[tuple[str, tuple[Row, ...]]]:
    for sheet in stored.worksheets:
        if sheet.title == NOTES:
            continue
        if sheet.title not in names:
            raise refused(f"/{sheet.title[:80]}", "no_such_sheet", sheet=sheet.title[:80], known=tuple(names))
        yield sheet.title, tuple(_rows(sheet.title, formulas[sheet.title], sheet))


def _rows(name: str, formulas: Any, stored: Any) -> Iterator[Row]:
    # What a file says of its own size may be wrong.
    for sheet in (formulas, stored):
        sheet.reset_dimensions()
    for number, (written, values) in enumerate(
        zip(formulas.iter_rows(), stored.iter_rows(), strict=True),
        start=1,
    ):
        row = tuple(_cells(name, number, written, values))
        if any(not cell.is_empty for cell in row):
            yield row


def _cells(name: str, number: int, written: Sequence[Any], values: Sequence[Any]) -> Iterator[Cell]:
    for column, (formula, cell) in enumerate(zip(written, values, strict=True), start=1):
        place = place_of(name, number, column)
        if formula.data_type == "f" and cell.value is None:
            raise refused(place, "formula_without_value")
        if cell.data_type == "e":
            raise refused(place, "error_value", value=str(cell.value)[:20])
        yield Cell(cell.value, place)


def written(tables: Mapping[str, Sequence[Sequence[Value]]]) -> bytes:
    """Tables as the sheets of a file; text stays text, whatever it begins with."""
    import openpyxl

    book = openpyxl.Workbook(write_only=True)
    for name, rows in tables.items():
        sheet = book.create_sheet(name)
        sheet.column_dimensions["A"].width = WIDE
        for number, row in enumerate(rows):
            sheet.append([_written(sheet, value, bold=number == 0) for value in row])
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def _written(sheet: Any, value: Value, *, bold: bool) -> Any:
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.styles import Font

    shown: Any = value.isoformat() if isinstance(value, date) else value
    cell: Any = WriteOnlyCell(sheet, shown)
    if isinstance(value, str):
        cell.data_type = "s"
        cell.quotePrefix = True
    if bold:
        cell.font = Font(bold=True)
    return cell
