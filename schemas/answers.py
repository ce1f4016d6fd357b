"""Schemas of what is answered, derived from the dataclasses that say its shape.

`answer(Thermal)` is the schema of a `Thermal`: its fields' types, words, ranges, units and meanings
stand in the dataclass alone. A field with a default may be missing. What somebody posted is shown
by the schema that it was posted by (`described_by`).

An answer is plain JSON before it gets here and passes as it is, except that what was calculated is
rounded for people. The record keeps every digit.
"""

import types
from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Any, ClassVar, Protocol, get_args, get_origin
from uuid import UUID

import orjson
from marshmallow import Schema, fields, validate

from schemas import build_ups, cavities, estimates, lances, materials, practice, price_lists
from schemas.fields import Balance, Day, Moment, Word
from schemas.shapes import ANY, POSTED, Shape, left_out, shapes
from service.engine.ground.figures import rounded, significant
from service.engine.ground.messages import Message

AS_THEY_CAME = {"deg"}
"""Units of what nobody calculates: a place on earth needs all of its digits."""

# What these describe must be known before the first answer is derived.
POSTING = (build_ups, cavities, estimates, lances, materials, practice, price_lists)

Rounding = Callable[[Any], Any]
FIELDS: Mapping[type, Callable[..., fields.Field[Any]]] = {
    str: fields.String,
    bool: fields.Boolean,
    int: fields.Integer,
    float: fields.Float,
    Decimal: Balance,
    date: Day,
    datetime: Moment,
    UUID: fields.UUID,
}


class Inflatable(Protocol):
    """Plain JSON that is held as it is stored until somebody reads it."""

    @property
    def plain(self) -> Any:
        """The values."""


class Answer(Schema):
    """What is answered: described by its fields, and passed on with its figures rounded."""

    roundings: ClassVar[Mapping[str, Rounding]] = {}

    def dump(self, obj: Any, *, many: bool | None = None) -> Any:
        """The plain JSON `obj`, rounded for people."""
        return [self._rounded(each) for each in obj] if many else self._rounded(obj)

    @classmethod
    def _rounded(cls, plain: Mapping[str, Any] | Inflatable) -> Any:
        if not isinstance(plain, Mapping):
            # It is written at once: thousands of workings take room as they are stored, and as text.
            return orjson.Fragment(orjson.dumps(cls._rounded(plain.plain)))
        changed = {
            name: rounding(plain[name])
            for name, rounding in cls.roundings.items()
            if plain.get(name) is not None
        }
        return {**plain, **changed} if changed else plain


class Sentence(Answer):
    """A sentence: its code and values for machines, its words in English for people."""

    code = fields.String(required=True, metadata={"description": "names the sentence in the catalogues"})
    values = fields.Dict(
        required=True,
        metadata={"description": "what fills the sentence: text, numbers, and quantities with their unit"},
    )
    text = fields.String(required=True, metadata={"description": "the sentence in English and SI units"})


@cache
def answer(kind: type) -> type[Schema]:
    """The schema of a dataclass as it is answered."""
    if kind in POSTED:
        return POSTED[kind]
    said, optional = shapes(kind), left_out(kind)
    members = {name: _field(shape, required=name not in optional) for name, shape in said.items()}
    roundings = {name: rounding for name, shape in said.items() if (rounding := _rounding(shape))}
    attributes = {**members, "roundings": roundings, "__doc__": kind.__doc__, "__module__": __name__}
    schema: type[Schema] = types.new_class(kind.__name__, (Answer,), {}, lambda body: body.update(attributes))
    return schema


class Either(Schema):
    """What is answered in one of several shapes: the first whose members it has."""

    one_of: ClassVar[tuple[type[Schema], ...]] = ()

    def dump(self, obj: Any, *, many: bool | None = None) -> Any:
        """The plain JSON `obj`, as its own shape is dumped."""
        return next(each for each in self.one_of if fits(each, obj))().dump(obj, many=many)


@cache
def either(kinds: types.UnionType) -> type[Schema]:
    """The schema of an answer that is of one of these dataclasses."""
    return type("Either", (Either,), {"one_of": tuple(answer(kind) for kind in get_args(kinds))})


def fits(schema: type[Schema], plain: Mapping[str, Any]) -> bool:
    """Whether these are the members of such an answer."""
    members = schema().fields
    lacking = [name for name, field in members.items() if field.required and name not in plain]
    return not lacking and plain.keys() <= members.keys()


def _field(shape: Shape, **options: Any) -> fields.Field[Any]:
    if shape.nullable:
        options["allow_none"] = True
    if shape.description:
        options["metadata"] = {"description": shape.description}
    if shape.range != ANY:
        options["validate"] = validate.Range(min=shape.range.least, max=shape.range.most)
    if shape.members:
        return fields.List(_field(shape.members), **options)
    return _of_its_kind(shape.kind, options)


def _of_its_kind(kind: Any, options: dict[str, Any]) -> fields.Field[Any]:
    if get_origin(kind) is types.UnionType:
        return fields.Raw(**options)
    if get_origin(kind) in (dict, Mapping) or kind is Any:
        return fields.Dict(**options) if kind is not Any else fields.Raw(**options)
    if kind is Message:
        return fields.Nested(Sentence, **options)
    if is_dataclass(kind):
        return fields.Nested(answer(kind), **options)  # type: ignore[arg-type]
    if issubclass(kind, Enum):
        return Word(kind, by_value=True, **options)
    return FIELDS[kind](**options)


def _rounding(shape: Shape) -> Rounding | None:
    """How a value of this shape is rounded; None where nothing in it is."""
    if shape.members:
        each = _rounding(shape.members)
        return (lambda values: [each(value) for value in values]) if each else None
    if shape.kind is float:
        return None if shape.unit and shape.unit.symbol in AS_THEY_CAME else significant
    if shape.kind is Message or Message in get_args(shape.kind):
        return rounded
    if shape.kind in POSTED:
        return as_posted
    if is_dataclass(shape.kind):
        schema = answer(shape.kind)  # type: ignore[arg-type]
        return schema._rounded if issubclass(schema, Answer) and schema.roundings else None
    return None


def as_posted(plain: Any) -> Any:
    """What somebody posted, without the members that he left out."""
    if isinstance(plain, dict):
        return {name: as_posted(value) for name, value in plain.items() if value is not None}
    return [as_posted(each) for each in plain] if isinstance(plain, list) else plain
