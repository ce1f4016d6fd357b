"""The value of a cell as the member that it stands for has it, and back."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from marshmallow import fields

from schemas.fields import Amount, Day, Flag, Number, Several, Whole
from service.api.sheets.columns import Column
from service.api.sheets.grid import Cell, Value, in_text, number_in

FLAGS = {"true": True, "false": False}
BETWEEN, WITHIN, LINE = " ", "/", "\n"
"""What separates the numbers of a list in one cell, the two of a point, and texts of a list."""


def value_of(cell: Cell, column: Column, mark: str | None) -> Any:
    """What is posted of a cell: what its member cannot read stays as it is, for the schema to refuse."""
    field, value = column.field, cell.value
    if isinstance(field, Several):
        return _several(cell, column, mark)
    if isinstance(field, Flag):
        return FLAGS.get(cell.text, value)
    if isinstance(field, Number | Whole):
        return _number(
            value if not isinstance(value, str) else number_in(cell.text, mark), value, column.factor
        )
    if isinstance(field, Amount):
        return _amount(cell, mark)
    if isinstance(field, Day | fields.Date) and isinstance(value, datetime):
        return value.date().isoformat()
    return _text(value)


def _number(number: Any, value: Any, factor: Decimal) -> Any:
    if isinstance(number, bool) or not isinstance(number, int | float | Decimal):
        return value
    exact = Decimal(str(number)) * factor
    return int(exact) if exact == exact.to_integral_value() else float(exact)


def _amount(cell: Cell, mark: str | None) -> Any:
    number = number_in(cell.text, mark) if isinstance(cell.value, str) else cell.value
    if isinstance(number, bool) or not isinstance(number, int | float | Decimal):
        return cell.value
    return format(Decimal(str(number)), "f")


def _text(value: Value) -> Any:
    """Text; a label that is a whole number was typed as one."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal | date):
        return value
    if isinstance(value, date):
        return value.isoformat()
    return str(int(value)) if value == int(value) else value


def _several(cell: Cell, column: Column, mark: str | None) -> Any:
    text = cell.text if isinstance(cell.value, str) else str(cell.value)
    if isinstance(getattr(column.field, "inner", None), fields.String):
        return text.split(LINE)
    shown = mark if isinstance(cell.value, str) else "point"
    if isinstance(getattr(column.field, "inner", None), Several):
        return [[_one(each, column, shown) for each in point.split(WITHIN)] for point in text.split()]
    return [_one(each, column, shown) for each in text.split()]


def _one(text: str, column: Column, mark: str | None) -> Any:
    return _number(number_in(text, mark), text, column.factor)


def cell_of(value: Any, mark: str) -> Value:
    """The value of a member as it stands in a cell."""
    if isinstance(value, list):
        texts = any(isinstance(each, str) for each in value)
        return (LINE if texts else BETWEEN).join(_in_list(each, mark) for each in value)
    shown: Value = value
    return shown


def _in_list(value: Any, mark: str) -> str:
    if isinstance(value, list):
        return WITHIN.join(in_text(each, mark) for each in value)
    return in_text(value, mark) if isinstance(value, int | float) else str(value)
