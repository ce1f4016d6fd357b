"""Survey files by their media type: read to a body, or made of a quote; the template of one."""

from collections.abc import Iterator, Mapping
from typing import Any

from marshmallow import Schema

from schemas.sheets import BuildUpSheet, HeadSheet, SurveySheet
from service.api.sheets import csv_file, survey, xlsx_file
from service.api.sheets.columns import all_heads
from service.api.sheets.csv_file import CSV, DECLARED
from service.api.sheets.grid import POINT, Book, Value
from service.api.sheets.rows import Read
from service.api.sheets.xlsx_file import NOTES, XLSX

KINDS = (XLSX, CSV)
SUFFIXES = {".xlsx": XLSX, ".csv": CSV}
HEAD = (
    "reference",
    "client name",
    "client email",
    "site address",
    "site country",
    "site built year",
    "practice",
    "material",
    "currency",
    "travel (km)",
    "language",
)
ROW = (
    "label",
    "element",
    "width (m)",
    "span (m)",
    "facing",
    "build up",
    "surveyed",
    "count",
    "opening 1 width (m)",
    "opening 1 height (m)",
    "opening 1 count",
    "opening 1 left (m)",
    "opening 1 sill (m)",
    "opening 1 trim (mm)",
)
LAYERS = (
    "code",
    "layer 1 depth (mm)",
    "layer 1 framing member (mm)",
    "layer 1 framing spacing (mm)",
    "layer 1 framing plates (mm)",
    "layer 2 depth (mm)",
    "outside 1 name",
    "outside 1 thickness (mm)",
    "outside 1 conductivity (W/mK)",
    "inside 1 name",
    "inside 1 thickness (mm)",
    "inside 1 conductivity (W/mK)",
)
NOTE_HEADS = ("sheet", "column", "meaning")


def read(content: bytes, kind: str) -> Read:
    """The body of a survey file, and its members' cells."""
    return survey.read(_book(content, kind))


def _book(content: bytes, kind: str) -> Book:
    if kind == CSV:
        return csv_file.read(content, survey.SHEETS)
    return xlsx_file.read(content, survey.SHEETS)


def written(quote: Mapping[str, Any], kind: str, mark: str = POINT) -> bytes:
    """A quote as a file that `read` makes the same body of."""
    tables = survey.tables_of(quote, mark)
    return csv_file.written(tables, mark) if kind == CSV else xlsx_file.written(_marked(tables, mark))


def to_fill_in(quote: Mapping[str, Any], kind: str, mark: str = POINT) -> bytes:
    """Some of a quote as such a file, with empty rows for what is still missing of its head."""
    tables = survey.tables_of(quote, mark)
    said = {row[0] for row in tables[survey.QUOTE]}
    tables[survey.QUOTE] += [[name, None] for name in HEAD if name not in said]
    return csv_file.written(tables, mark) if kind == CSV else xlsx_file.written(_marked(tables, mark))


def template(kind: str, mark: str = POINT) -> bytes:
    """An empty file to fill in; an XLSX explains every column that there can be in a sheet of its own."""
    empty: dict[str, list[list[Value]]] = {
        survey.QUOTE: [[name, None] for name in HEAD],
        survey.SURVEY: [list(ROW)],
        survey.BUILD_UPS: [list(LAYERS)],
    }
    if kind == CSV:
        return csv_file.written(empty, mark)
    return xlsx_file.written({**_marked(empty, mark), NOTES: [list(NOTE_HEADS), *_notes()]})


def _marked(tables: dict[str, list[list[Value]]], mark: str) -> dict[str, list[list[Value]]]:
    """With the line that says how text in it writes decimals, such as the places of members."""
    return {**tables, survey.QUOTE: [[DECLARED, mark], *tables[survey.QUOTE]]}


def _notes() -> Iterator[list[Value]]:
    schemas: Mapping[str, Schema] = {
        survey.QUOTE: HeadSheet(),
        survey.SURVEY: SurveySheet(),
        survey.BUILD_UPS: BuildUpSheet(),
    }
    for name, schema in schemas.items():
        for head, meaning in all_heads(schema):
            yield [name, head, meaning]
