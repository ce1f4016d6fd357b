"""As the last, but: a version of prices or practice from the one before and the few rows that change.

What is sent is a part of the whole body, merged member by member (as RFC 7396 has it: null takes a
member away); rows of a list that have a code of their own are found by it, and new ones are added.
As CSV each line is a member and its value: `material_per_kg/CF-STD/price,1.25`.
"""

import copy
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from typing import Any

from flask import g, request
from marshmallow import Schema, ValidationError, fields

from schemas.fields import Day, Several
from schemas.wrong import UNKNOWN
from service.api import json_body
from service.api.blueprint import reading
from service.api.sheets import csv_file
from service.api.sheets.columns import Column
from service.api.sheets.csv_file import CSV
from service.api.sheets.grid import Row
from service.api.sheets.rows import Read
from service.api.sheets.values import value_of
from service.engine.ground.messages import message
from service.errors import Fault, InvalidInput, WrongKind

JSON = "application/json"
KEYS = {
    "material_per_kg": "code",
    "extras": "code",
    "discounts": "from_kg",
    "methods": "method",
    "hold_points": "code",
    "usual": "name",
}
"""What a row of a list is found by; any other list is sent whole."""
SHEET = "Changes"
DAY = "in_force_from"
BODY = {
    "requestBody": {
        "description": "The day, and what is not as in the version in force on it.",
        "required": True,
        "content": {JSON: {"schema": {"type": "object"}}, CSV: {"schema": {"type": "string"}}},
    }
}


def takes_changes(view: Callable[..., Any]) -> Callable[..., Any]:
    """Say of a view that it reads changes."""
    return reading("bytes")(view)


def sent(schema: Schema) -> Read:
    """What is to change, and where each member of it was sent; raises InvalidInput without a day."""
    found = _of_csv(schema) if request.mimetype == CSV else _of_json()
    unknown = sorted(found.body.keys() - schema.fields.keys())
    found.faults.extend(json_body.faults({name: [UNKNOWN] for name in unknown}))
    found.faults.extend(_faults_of_day(found))
    if found.faults:
        raise InvalidInput(*found.faults)
    return found


def _faults_of_day(change: Read) -> Iterator[Fault]:
    """What is wrong with the day; without one nothing says what is to be changed."""
    try:
        Day().deserialize(change.body.get(DAY))
    except ValidationError as error:
        place = change.cells.get(f"/{DAY}", f"/{DAY}")
        yield from (Fault(place, each.detail) for each in json_body.faults(error.messages))


def day_of(change: Read) -> date:
    """The day that a change is in force from."""
    day: date = Day().deserialize(change.body[DAY])
    return day


def _of_json() -> Read:
    if request.mimetype != JSON:
        raise WrongKind(message("api.body_of_another_kind", kinds=(JSON, CSV)))
    body = json_body.read(request.get_data(cache=True))
    if not isinstance(body, dict):
        raise InvalidInput(Fault("", message("api.no_object")))
    return Read(body=body)


def _of_csv(schema: Schema) -> Read:
    book = csv_file.read(request.get_data(cache=True), (SHEET,))
    found = Read()
    for row in book.sheets.get(SHEET, ()):
        _take_line(schema, row, book.mark, found)
    if found.faults:
        raise InvalidInput(*found.faults)
    return found


def _take_line(schema: Schema, row: Row, mark: str | None, found: Read) -> None:
    steps = row[0].text.split("/")
    field = _field(schema, steps)
    if field is None or len(row) < 2:
        found.refuse(row[0].place, "no_such_head", head=row[0].text[:80])
        return
    _put(found, steps, value_of(row[1], Column(path=tuple(steps), field=field), mark), row[1].place)


def _field(schema: Any, steps: list[str]) -> fields.Field[Any] | None:
    """The field at the end of a way; in a list with keys the step after its name is a row's key."""
    field: Any = schema.fields.get(steps[0])
    rest = steps[1:]
    if isinstance(field, Several) and steps[0] in KEYS and len(rest) > 1:
        return _field(getattr(field.inner, "schema", None), rest[1:])
    if isinstance(field, fields.Nested) and rest:
        return _field(field.schema, rest)
    leaf = not isinstance(field, fields.Nested | Several | fields.Dict)
    return field if leaf and not rest else None


def _put(found: Read, steps: list[str], value: Any, place: str) -> None:
    body, pointer = found.body, ""
    *way, last = steps
    names = iter(way)
    for name in names:
        if name in KEYS:
            body, index = _row_of(body.setdefault(name, []), KEYS[name], next(names))
            pointer += f"/{name}/{index}"
        else:
            body, pointer = body.setdefault(name, {}), f"{pointer}/{name}"
    if last in body and last not in KEYS.values():
        found.refuse(place, "head_twice", head="/".join(steps)[:80])
    body[last] = value
    found.cells[f"{pointer}/{last}"] = place


def _row_of(rows: list[Any], key: str, name: str) -> tuple[Any, int]:
    for index, row in enumerate(rows):
        if row[key] == name:
            return row, index
    rows.append({key: name})
    return rows[-1], len(rows) - 1


def changed(schema: Schema, last: Mapping[str, Any], change: Read) -> Any:
    """The whole body, checked; what is wrong with it is said where it was sent."""
    whole = copy.deepcopy(schema.dump(last))
    cells = {merged: change.cells.get(own, own) for merged, own in _merge(whole, change.body, "", "")}
    g.survey = Read(cells=cells)
    try:
        return schema.load(whole)
    except ValidationError as error:
        raise InvalidInput(*json_body.faults(error.messages)) from None


def _merge(whole: Any, change: Mapping[str, Any], at: str, own: str) -> Iterator[tuple[str, str]]:
    """Change the whole; gives for every pointer of it that of what was sent."""
    for name, value in change.items():
        here, sent_at = f"{at}/{name}", f"{own}/{name}"
        yield here, sent_at
        if value is None:
            whole.pop(name, None)
        elif isinstance(value, dict) and isinstance(whole.get(name), dict):
            yield from _merge(whole[name], value, here, sent_at)
        elif name in KEYS and isinstance(value, list) and isinstance(whole.get(name, []), list):
            yield from _merge_rows(whole.setdefault(name, []), value, KEYS[name], here, sent_at)
        else:
            whole[name] = value


def _merge_rows(
    rows: list[Any], sent_rows: list[Any], key: str, at: str, own: str
) -> Iterator[tuple[str, str]]:
    for number, row in enumerate(sent_rows):
        known = [index for index, each in enumerate(rows) if _is_row(each, row, key)]
        index = known[0] if known else len(rows)
        yield f"{at}/{index}", f"{own}/{number}"
        if known:
            yield from _merge(rows[index], row, f"{at}/{index}", f"{own}/{number}")
        else:
            rows.append(row)


def _is_row(known: Any, row: Any, key: str) -> bool:
    both = isinstance(known, dict) and isinstance(row, dict)
    return both and key in row and known.get(key) == row[key]
