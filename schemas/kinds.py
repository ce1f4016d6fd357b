"""Schemas of what comes in, read off the engine's dataclasses: shape, range and meaning are said once."""

from collections.abc import Mapping
from enum import StrEnum
from functools import cache
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from marshmallow import Schema, fields

from schemas.fields import Flag, Moment, Number, Several, Text, Whole, one_of
from schemas.shapes import left_out, shape_of
from service.engine.ground.shapes import Range, described
from service.engine.site.entry import Identity, Letters
from service.engine.site.entry import Moment as Instant
from service.engine.site.entry import Several as Members

HUGE = 1e12


def fields_from(kind: type, *, without: frozenset[str] = frozenset()) -> dict[str, fields.Field[Any]]:
    """The fields of a dataclass as fields of a schema, but for those named."""
    optional = left_out(kind)
    return {
        name: field_from(hint, required=name not in optional)
        for name, hint in described(kind).items()
        if name not in without
    }


@cache
def schema_from(kind: type) -> type[Schema]:
    """The schema of a dataclass as a part of what comes in."""
    return type(f"{kind.__name__}Said", (Schema,), {**fields_from(kind), "__doc__": kind.__doc__})


def field_from(hint: Any, *, required: bool = False) -> fields.Field[Any]:
    """The field of an annotated type."""
    shape = shape_of(hint)
    options: dict[str, Any] = {"metadata": {"description": shape.description}}
    if required:
        options["required"] = True
    if get_origin(shape.kind) is tuple:
        return _several(shape.kind, marks(hint), options)
    if isinstance(shape.kind, type) and issubclass(shape.kind, StrEnum):
        return one_of(shape.kind, **options)
    if shape.kind is bool:
        return Flag(**options)
    if shape.kind in (int, float):
        return _number(shape.kind, shape.range, options)
    if shape.kind is str:
        return _text(marks(hint), options)
    return fields.Nested(schema_from(shape.kind), **options)


def marks(hint: Any) -> tuple[Any, ...]:
    """Everything that is said of a type, the innermost first."""
    if get_origin(hint) is Annotated:
        inner, *said = get_args(hint)
        return (*marks(inner), *said)
    if get_origin(hint) in (Union, UnionType):
        return tuple(each for member in get_args(hint) for each in marks(member))
    return ()


def _text(told: tuple[Any, ...], options: Mapping[str, Any]) -> fields.Field[Any]:
    if any(isinstance(each, Identity) for each in told):
        return fields.UUID(**options)
    if any(isinstance(each, Instant) for each in told):
        return Moment(**options)
    letters = next(each for each in reversed(told) if isinstance(each, Letters))
    return Text(longest=letters.most, lines=letters.lines, **options)


def _number(kind: Any, limits: Range, options: Mapping[str, Any]) -> fields.Field[Any]:
    least = -HUGE if limits.least is None else limits.least
    most = HUGE if limits.most is None else limits.most
    if kind is int:
        return Whole(least=int(least), most=int(most), **options)
    return Number(least=least, most=most, **options)


def _several(kind: Any, told: tuple[Any, ...], options: Mapping[str, Any]) -> fields.Field[Any]:
    members = next(each for each in reversed(told) if isinstance(each, Members))
    return Several(field_from(get_args(kind)[0]), least=members.least, most=members.most, **options)
