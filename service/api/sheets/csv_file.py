"""Spreadsheets as CSV (RFC 4180): several tables in one file, each under its name alone on a line.

The first line declares how decimals are written, and with it what separates cells:
`decimal mark,point` or `decimal mark;comma`. Nothing of it is guessed.
"""

import csv
import io
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from itertools import chain

from service.api.sheets.grid import (
    COMMA,
    MARKS,
    MOST_CELLS,
    MOST_COLUMNS,
    MOST_ROWS,
    POINT,
    Book,
    Cell,
    Row,
    Value,
    in_text,
    place_of,
    refused,
)
from service.engine.ground.messages import message
from service.errors import Malformed

CSV = "text/csv"
DECLARED = "decimal mark"
SEPARATORS = (",", ";", "\t")
# What spreadsheet programs take for the beginning of a formula, in both widths; and the mark itself.
BEGINNINGS = tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20'")
GUARD = "'"


def read(content: bytes, names: Collection[str]) -> Book:
    """The tables of a file, which may have these names; raises Malformed or InvalidInput at the cell."""
    text = _text(content)
    separator, mark = _declared(text)
    rows = list(_rows(text, separator))
    return Book(sheets=_by_name(rows[1:], names), mark=mark)


def _text(content: bytes) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Malformed(message("sheets.not_utf_8")) from None
    if "\x00" in text:
        raise Malformed(message("sheets.not_utf_8"))
    return text


def _declared(text: str) -> tuple[str, str]:
    """What separates cells, and how decimals are written."""
    first = text.splitlines()[0] if text else ""
    for separator in SEPARATORS:
        head, _, rest = first.partition(separator)
        mark = rest.strip(separator + " ").lower()
        if head.strip().strip('"').lower() == DECLARED and mark in MARKS:
            return separator, mark
    raise refused("/A1", "no_mark", marks=(f"{DECLARED},{POINT}", f"{DECLARED};{COMMA}"))


def _rows(text: str, separator: str) -> Iterator[list[str]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    cells = 0
    try:
        for row in reader:
            cells += len(row)
            if reader.line_num > MOST_ROWS or len(row) > MOST_COLUMNS or cells > MOST_CELLS:
                raise Malformed(message("sheets.too_large", rows=MOST_ROWS, cells=MOST_CELLS))
            yield row
    except csv.Error:
        raise Malformed(message("sheets.not_csv", line=reader.line_num)) from None


def _by_name(rows: Iterable[Sequence[str]], names: Collection[str]) -> Mapping[str, tuple[Row, ...]]:
    found: dict[str, list[Row]] = {}
    name: str | None = None
    for number, row in enumerate(rows, start=2):
        said = [text for text in row if text.strip()]
        if len(said) == 1 and row[0].strip() in names:
            name = row[0].strip()
            if name in found:
                raise refused(f"/A{number}", "sheet_twice", sheet=name)
            found[name] = []
        elif said and name is None:
            raise refused(f"/A{number}", "no_such_sheet", sheet=said[0][:80], known=tuple(names))
        elif said and name is not None:
            found[name].append(_cells(name, number, row))
    return {each: tuple(lines) for each, lines in found.items()}


def _cells(name: str, number: int, row: Sequence[str]) -> Row:
    return tuple(
        Cell(unguarded(text) or None, place_of(name, number, column))
        for column, text in enumerate(row, start=1)
    )


def unguarded(text: str) -> str:
    """The text of a cell without the mark that keeps it from being a formula."""
    return text[1:] if text.startswith(GUARD) and text[1:].startswith(BEGINNINGS) else text


def guarded(text: str) -> str:
    """Text that no spreadsheet program takes for a formula; numbers are not text, and stay as they are."""
    return GUARD + text if text.startswith(BEGINNINGS) else text


def written(tables: Mapping[str, Sequence[Sequence[Value]]], mark: str) -> bytes:
    """Tables as a file that `read` gives back; without a name where there is only one, to be looked at."""
    lines = chain.from_iterable(_named(name, rows) for name, rows in tables.items())
    declared: list[Value] = [DECLARED, mark]
    return table([declared, *lines], mark)


def _named(name: str, rows: Sequence[Sequence[Value]]) -> Iterator[Sequence[Value]]:
    yield [name]
    yield from rows
    yield []


def table(rows: Iterable[Sequence[Value]], mark: str) -> bytes:
    """Rows as a plain table."""
    target = io.StringIO(newline="")
    writer = csv.writer(target, delimiter=";" if mark == COMMA else ",")
    writer.writerows([_written(value, mark) for value in row] for row in rows)
    return target.getvalue().encode()


def _written(value: Value, mark: str) -> str:
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case int() | float() | Decimal():
            return in_text(value, mark)
        case date():
            return value.isoformat()
    return guarded(value)
