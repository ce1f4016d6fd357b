"""What a row is said to hold is what its table has."""

import re
import types
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from importlib import import_module
from typing import Any, Union, get_args, get_origin, get_type_hints
from uuid import UUID

from sqlalchemy import Column, Table

from tests.sources import modules

LAYOUT = "service/store/layout"


def laid_out(is_one: Callable[[Any], bool]) -> dict[str, Any]:
    """What lies in the modules of `layout/` and is one of these, by its name."""
    homes = [
        import_module(f"service.store.layout.{path.stem}") for path in modules(LAYOUT) if path.stem[0] != "_"
    ]
    return {name: each for home in homes for name, each in vars(home).items() if is_one(each)}


def name_of(each: type | Table) -> str:
    """What a test calls a kind of row or a table."""
    return each.name if isinstance(each, Table) else each.__name__


def words_of(column: Column[Any]) -> set[str]:
    """The words that the column's check lets through."""
    (check,) = column.constraints
    return set(re.findall(r"'(\w+)'", str(check.sqltext)))


def assert_row_of(kind: type, table: Table) -> None:
    """A row of this kind holds every column of the table and nothing else."""
    assert get_type_hints(kind).keys() == set(table.c.keys())
    assert_part_of(kind, table)


def assert_part_of(kind: type, table: Table) -> None:
    """A row of this kind holds columns of the table."""
    for name, hint in get_type_hints(kind).items():
        _assert_same(name, hint, table.c[name])


def _held(hint: Any) -> tuple[Any, bool]:
    """The type of a member, and whether it may be None."""
    if get_origin(hint) in (Union, types.UnionType):
        (inner,) = [each for each in get_args(hint) if each is not type(None)]
        return inner, True
    return get_origin(hint) or hint, False


def _assert_same(name: str, hint: Any, column: Column[Any]) -> None:
    kind, nullable = _held(hint)
    if kind is Any or kind is list:
        return
    assert kind is column.type.python_type or kind in (datetime, date, Decimal, UUID, bytes), name
    assert nullable == bool(column.nullable), name
