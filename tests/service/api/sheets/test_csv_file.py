"""CSV as RFC 4180 has it, in tables under their names; text is never taken for a formula."""

import csv
import io
from typing import Any

import pytest

from service.api.sheets.csv_file import read, table, written
from service.errors import InvalidInput, Malformed

NAMES = ("Quote", "Survey")
TEXTS = ["=1+1", "+1", "-1", "@x", "\tx", "'x", "''x", "plain", "a,b", 'say "so"', "two\nlines", "\uff1d1"]


def values(content: bytes) -> dict[str, list[list[Any]]]:
    return {
        name: [[cell.value for cell in row] for row in rows]
        for name, rows in read(content, NAMES).sheets.items()
    }


@pytest.mark.parametrize("mark", ["point", "comma"])
def test_what_is_written_is_read_again(mark: str) -> None:
    tables = {"Quote": [["reference", "SO;1,5"]], "Survey": [["label"], *([text] for text in TEXTS)]}
    content = written(tables, mark)
    assert values(content) == tables
    assert read(content, NAMES).mark == mark


def test_no_cell_of_text_begins_a_formula_and_numbers_stay_numbers() -> None:
    content = table([["a", "b"], *([text, -1.5] for text in TEXTS)], "point").decode()
    rows = list(csv.reader(io.StringIO(content, newline="")))
    assert not [text for text, _ in rows if text[:1] in ("=", "+", "-", "@", "\t", "\r", "\uff1d")]
    assert {number for _, number in rows[1:]} == {"-1.5"}


def test_cells_are_counted_as_a_spreadsheet_program_shows_the_file() -> None:
    book = read(b"decimal mark,point\r\n\r\nSurvey,,\r\nlabel,width (m)\r\nW1,5\r\n", NAMES)
    assert [[cell.place for cell in row] for row in book.sheets["Survey"]] == [
        ["/Survey/A4", "/Survey/B4"],
        ["/Survey/A5", "/Survey/B5"],
    ]


@pytest.mark.parametrize(
    ("content", "place", "fault"),
    [
        (b"", "/A1", "no_mark"),
        (b"label,width\nW1,1.5\n", "/A1", "no_mark"),
        (b"decimal mark,dot\n", "/A1", "no_mark"),
        (b"decimal mark,point\nlabel,x\n", "/A2", "no_such_sheet"),
        (b"decimal mark,point\nQuote\na,b\nQuote\n", "/A4", "sheet_twice"),
    ],
)
def test_what_is_not_said_is_not_guessed(content: bytes, place: str, fault: str) -> None:
    with pytest.raises(InvalidInput) as raised:
        read(content, NAMES)
    (found,) = raised.value.faults
    assert (found.pointer, found.detail.code) == (place, f"sheets.{fault}")  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "content",
    [
        b"decimal mark,point\nQuote\n\xff\xfe",
        b"decimal mark,point\nQuote\na\x00,b\n",
        b'decimal mark,point\nQuote\n"a"b,c\n',
        b"decimal mark,point\nQuote\n" + b"a\n" * 5001,
        b"decimal mark,point\nQuote\n" + b"," * 700,
    ],
    ids=["not UTF-8", "NUL", "quotes", "rows", "columns"],
)
def test_what_is_no_such_file_or_too_large_is_refused(content: bytes) -> None:
    with pytest.raises(Malformed):
        read(content, NAMES)


def test_a_mark_of_the_byte_order_is_no_part_of_the_text() -> None:
    assert read("\ufeffdecimal mark;comma\n".encode(), NAMES).mark == "comma"
