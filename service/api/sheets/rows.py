"""Rows under heads as bodies, with the cell that each member came from; and bodies as such rows."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from marshmallow import Schema

from service.api.sheets.columns import Column, Path, Wrong, column_of, head_of, leaves
from service.api.sheets.grid import Cell, Row, Value, padded
from service.api.sheets.values import cell_of, value_of
from service.engine.ground.messages import message
from service.errors import Fault

MOST_SHOWN = 80


@dataclass(frozen=True, slots=True)
class Read:
    """A body as it could have been posted, the cells of its members by pointer, and what is wrong."""

    body: dict[str, Any] = field(default_factory=dict)
    cells: dict[str, str] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def refuse(self, place: str, fault: str, /, **values: Any) -> None:
        """Note what is wrong with a cell."""
        self.faults.append(Fault(place, message(f"sheets.{fault}", **values)))


def under_heads(schema: Schema, rows: Sequence[Row], mark: str | None, faults: list[Fault]) -> Iterator[Read]:
    """The body of every row but the first, which has the heads."""
    columns = _columns(schema, rows[0], faults) if rows else {}
    for row in (padded(each, len(rows[0])) for each in rows[1:]):
        found = Read(faults=faults)
        found.cells[""] = row[0].place
        told = []
        for number, cell in enumerate(row):
            if number in columns:
                told.append((columns[number], cell))
            elif not cell.is_empty:
                found.refuse(cell.place, "cell_without_head")
        assemble(told, mark, found)
        yield found


def _columns(schema: Schema, heads: Row, faults: list[Fault]) -> dict[int, Column]:
    found: dict[int, Column] = {}
    for number, cell in enumerate(heads):
        if not cell.is_empty and (column := column_at(schema, cell, faults)):
            if column.path in [each.path for each in found.values()]:
                faults.append(Fault(cell.place, message("sheets.head_twice", head=_shown(cell))))
            found[number] = column
    return found


def column_at(schema: Schema, cell: Cell, faults: list[Fault]) -> Column | None:
    """What the head in a cell stands for; None where that is nothing, which is then among the faults."""
    try:
        return column_of(schema, str(cell.value))
    except Wrong as wrong:
        faults.append(Fault(cell.place, _why(wrong, _shown(cell))))
        return None


def _why(wrong: Wrong, head: str) -> Any:
    if wrong.units is None:
        return message("sheets.no_such_head", head=head)
    if not wrong.units:
        return message("sheets.head_without_unit", head=head)
    return message("sheets.head_needs_unit", head=head, units=wrong.units)


def _shown(cell: Cell) -> str:
    return str(cell.value)[:MOST_SHOWN]


def assemble(told: Sequence[tuple[Column, Cell]], mark: str | None, found: Read) -> None:
    """Put what cells say into a body; numbered members close up where one was left out."""
    said = [(column, cell) for column, cell in told if not cell.is_empty]
    packed = _packed([column.path for column, _ in said])
    for column, cell in said:
        path = packed[column.path]
        _put(found.body, path, value_of(cell, column, mark))
        found.cells.setdefault(pointer_of(path), cell.place)
    for column, cell in told:
        if cell.is_empty and not any(isinstance(step, int) for step in column.path):
            found.cells.setdefault(pointer_of(column.path), cell.place)


def _packed(paths: Iterable[Path]) -> dict[Path, Path]:
    used: dict[Path, set[int]] = defaultdict(set)
    paths = list(paths)
    for path in paths:
        for place, step in enumerate(path):
            if isinstance(step, int):
                used[path[:place]].add(step)
    return {
        path: tuple(
            sorted(used[path[:place]]).index(step) if isinstance(step, int) else step
            for place, step in enumerate(path)
        )
        for path in paths
    }


def _put(body: Any, path: Path, value: Any) -> None:
    """Set a member, making what it lies in; numbered members come in their order or are made up to it."""
    for step, after in pairwise(path):
        empty: Any = [] if isinstance(after, int) else {}
        body = _member(body, step, empty)
    last = path[-1]
    _member(body, last, None)
    body[last] = value


def _member(body: Any, step: str | int, empty: Any) -> Any:
    if isinstance(step, int):
        while len(body) <= step:
            body.append({})
    else:
        body.setdefault(step, empty)
    return body[step]


def pointer_of(path: Path) -> str:
    """The JSON pointer of a member."""
    return "".join(f"/{step}" for step in path)


def as_table(schema: Schema, bodies: Sequence[Any], mark: str) -> list[list[Value]]:
    """Bodies as rows under heads: a column for each member that any of them has."""
    rows = [dict(leaves(schema, body)) for body in bodies]
    paths = sorted({path for row in rows for path in row}, key=lambda path: _order(schema, path))
    heads: list[Value] = [head_of(schema, path) for path in paths]
    return [heads, *([cell_of(row.get(path), mark) for path in paths] for row in rows)]


def as_pairs(schema: Schema, body: Any, mark: str) -> list[list[Value]]:
    """A body as lines of a name and a value."""
    return [[head_of(schema, path), cell_of(value, mark)] for path, value in leaves(schema, body)]


def _order(schema: Schema, path: Path) -> tuple[int, ...]:
    """Where a column stands: as its schema has it, numbered members one after the other."""
    found: list[int] = []
    inside: Any = schema
    for step in path:
        if isinstance(step, int):
            found.append(step)
            inside = getattr(inside.inner, "schema", None)
            continue
        found.append(list(inside.fields).index(step))
        field_ = inside.fields[step]
        inside = getattr(field_, "schema", field_)
    return tuple(found)
