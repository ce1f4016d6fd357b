"""A survey as a spreadsheet: a sheet for the quote's head, one for its cavities, one for build-ups.

What is read becomes the body that could have been posted, and the cell of each of its members.
"""

import copy
import json
from collections.abc import Mapping
from typing import Any

from schemas.cavities import CavityBody
from schemas.quotes import QuoteBody
from schemas.sheets import BuildUpSheet, HeadSheet, SurveySheet
from service.api.sheets import csv_file
from service.api.sheets.columns import Column
from service.api.sheets.grid import MARKS, Book, Cell, Row, Value, padded, refused
from service.api.sheets.rows import Read, as_pairs, as_table, assemble, column_at, under_heads
from service.engine.survey.build_up import MEMBERS
from service.errors import Fault, InvalidInput

QUOTE, SURVEY, BUILD_UPS = "Quote", "Survey", "Build-ups"
SHEETS = (QUOTE, SURVEY, BUILD_UPS)
NAME_AND_VALUE = 2


def read(book: Book) -> Read:
    """The body of a survey; raises InvalidInput with every fault of its sheets, at the cell."""
    for name in (QUOTE, SURVEY):
        if not book.sheets.get(name):
            raise refused(f"/{name}", "sheet_missing", sheet=name, known=SHEETS)
    mark, head = _mark(book)
    found = _head(head, mark)
    built, named = _build_ups(book, mark, found.faults), set()
    found.body["cavities"] = []
    for index, row in enumerate(under_heads(SurveySheet(), book.sheets[SURVEY], mark, found.faults)):
        named.add(row.body.get("build_up"))
        _take_build_up(row, built)
        _width_of_area(row)
        found.body["cavities"].append(row.body)
        found.cells.update({f"/cavities/{index}{pointer}": cell for pointer, cell in row.cells.items()})
    for code in built.keys() - named:
        found.refuse(built[code].cells["/code"], "build_up_unused", code=code)
    if found.faults:
        raise InvalidInput(*found.faults)
    return found


def _mark(book: Book) -> tuple[str | None, tuple[Row, ...]]:
    """How text of the file writes decimals, and the head's rows without the one that says so."""
    declared = [row for row in book.sheets[QUOTE] if row[0].text.lower() == csv_file.DECLARED]
    if book.mark or not declared:
        return book.mark, book.sheets[QUOTE]
    rest = tuple(row for row in book.sheets[QUOTE] if row is not declared[0])
    cell = declared[0][1] if len(declared[0]) > 1 else declared[0][0]
    if cell.text.lower() not in MARKS:
        raise refused(cell.place, "no_mark", marks=tuple(MARKS))
    return cell.text.lower(), rest


def _head(rows: tuple[Row, ...], mark: str | None) -> Read:
    found = Read()
    told: list[tuple[Column, Cell]] = []
    found.cells[""] = f"/{QUOTE}"
    for row in rows:
        column = column_at(HeadSheet(), row[0], found.faults)
        if any(not cell.is_empty for cell in row[NAME_AND_VALUE:]):
            found.refuse(row[NAME_AND_VALUE].place, "cell_without_head")
        if column:
            if any(column.path == each.path for each, _ in told):
                found.refuse(row[0].place, "head_twice", head=row[0].text)
            told.append((column, padded(row, NAME_AND_VALUE)[1]))
    assemble(told, mark, found)
    return found


def _build_ups(book: Book, mark: str | None, faults: list[Fault]) -> dict[str, Read]:
    found: dict[str, Read] = {}
    for row in under_heads(BuildUpSheet(), book.sheets.get(BUILD_UPS, ()), mark, faults):
        code = row.body.get("code")
        if not isinstance(code, str):
            row.refuse(row.cells.get("/code", row.cells[""]), "build_up_without_code")
        elif code in found:
            row.refuse(row.cells["/code"], "build_up_twice", code=code)
        else:
            found[code] = row
    return found


def _take_build_up(row: Read, built: Mapping[str, Read]) -> None:
    """Put the layers of the file's own build-up in the place of its name; any other is of the library."""
    named = built.get(str(row.body.get("build_up")))
    if named is None:
        return
    twice = [name for name in MEMBERS if name in row.body]
    for name in twice:
        row.refuse(row.cells[""], "layers_twice", member=name)
    del row.body["build_up"]
    row.body.update(copy.deepcopy({name: named.body[name] for name in MEMBERS if name in named.body}))
    row.cells.update({pointer: cell for pointer, cell in named.cells.items() if pointer not in ("", "/code")})


def _width_of_area(row: Read) -> None:
    area = row.body.pop("area_m2", None)
    if area is None:
        return
    place, span = row.cells["/area_m2"], row.body.get("span_m")
    numbers = all(isinstance(each, int | float) and not isinstance(each, bool) for each in (area, span))
    if "width_m" in row.body or "profile_m" in row.body:
        row.refuse(place, "area_and_width")
    elif span is None:
        row.refuse(place, "area_without_span")
    elif not numbers or span <= 0 or area <= 0:
        row.refuse(place, "area_is_no_number")
    else:
        row.body["width_m"] = area / span
        row.cells["/width_m"] = place


def tables_of(quote: Mapping[str, Any], mark: str) -> dict[str, list[list[Value]]]:
    """A quote as the sheets that it can be read from again: equal build-ups stand in theirs once."""
    body = QuoteBody().dump(quote)
    codes: dict[str, str] = {}
    built: list[Any] = []
    cavities = []
    for cavity in body["cavities"]:
        layers = {name: cavity[name] for name in MEMBERS if cavity.get(name)}
        code = codes.setdefault(json.dumps(layers, sort_keys=True), f"B{len(codes) + 1}")
        if len(codes) > len(built):
            built.append({"code": code, **layers})
        own = {name: value for name, value in cavity.items() if name not in MEMBERS}
        cavities.append({**own, "build_up": code})
    return {
        QUOTE: as_pairs(HeadSheet(), body, mark),
        SURVEY: as_table(CavityBody(), cavities, mark),
        BUILD_UPS: as_table(BuildUpSheet(), built, mark),
    }
