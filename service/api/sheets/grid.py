"""A table of a spreadsheet as it was read or is to be written: cells by row, each with its place."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from service.engine.ground.messages import message
from service.errors import Fault, InvalidInput

Value = str | bool | int | float | Decimal | date | datetime | None

MOST_SHEETS = 8
MOST_ROWS = 5_000
MOST_COLUMNS = 600
MOST_CELLS = 100_000

POINT, COMMA = "point", "comma"
MARKS = {POINT: ".", COMMA: ","}
# No thousands: between 1.234 and 1,234 nobody has to guess.
DIGITS = r"-?[0-9]{1,15}"
NUMBERS = {
    POINT: re.compile(rf"{DIGITS}(\.[0-9]{{1,30}})?"),
    COMMA: re.compile(rf"{DIGITS}(,[0-9]{{1,30}})?"),
}


@dataclass(frozen=True, slots=True)
class Cell:
    """What stands in a cell, and where: `/Survey/B7`, as a spreadsheet program names it."""

    value: Value
    place: str

    @property
    def text(self) -> str:
        """What it says, where it is text; blanks at either end say nothing."""
        return self.value.strip() if isinstance(self.value, str) else ""

    @property
    def is_empty(self) -> bool:
        """Whether nothing stands in it."""
        return self.value is None or self.value == "" or (isinstance(self.value, str) and not self.text)


Row = tuple[Cell, ...]
Sheets = Mapping[str, tuple[Row, ...]]
"""The rows that are not empty, by the name of their sheet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """What a file holds; `mark` is how text in it writes decimals, None where it does not say."""

    sheets: Sheets
    mark: str | None


def place_of(sheet: str, row: int, column: int) -> str:
    """Where a cell is, rows and columns counted from 1."""
    return f"/{sheet}/{letters(column)}{row}"


def padded(row: Row, width: int) -> Row:
    """The row with as many cells: a file leaves out the empty ones at its end."""
    sheet, _, first = row[0].place.rpartition("/")
    number = first.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    missing = range(len(row) + 1, width + 1)
    return (*row, *(Cell(None, f"{sheet}/{letters(column)}{number}") for column in missing))


def letters(column: int) -> str:
    """The letters of a column, counted from 1: A to Z, AA and so on."""
    found = ""
    while column:
        column, letter = divmod(column - 1, 26)
        found = chr(ord("A") + letter) + found
    return found


def number_in(text: str, mark: str | None) -> Decimal | None:
    """The number that a text is, by the mark that its file declares; None where it is none."""
    if mark is None or not NUMBERS[mark].fullmatch(text):
        return None
    return Decimal(text.replace(",", "."))


def in_text(number: float | Decimal, mark: str) -> str:
    """A number as text of a file with this mark: every digit that it has, and no exponent."""
    return format(Decimal(str(number)), "f").replace(".", MARKS[mark])


def refused(place: str, fault: str, /, **values: str | int | tuple[str, ...]) -> InvalidInput:
    """What is wrong with a cell."""
    return InvalidInput(Fault(place, message(f"sheets.{fault}", **values)))
