"""The JSON Schema (draft 2020-12) of what `to_json` makes of a dataclass: the same types, said to others.

Every field is there, and nothing besides; what a field means and its unit stand in its description.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import MISSING, dataclass, field, fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin
from uuid import UUID

from service.engine.ground.messages import Message
from service.engine.ground.shapes import Unit, described

DRAFT = "https://json-schema.org/draft/2020-12/schema"
SIMPLE: Mapping[Any, Mapping[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    Decimal: {"type": "string", "pattern": r"^-?[0-9]+(\.[0-9]+)?$"},
    date: {"type": "string", "format": "date"},
    datetime: {"type": "string", "format": "date-time"},
    UUID: {"type": "string", "format": "uuid"},
    NoneType: {"type": "null"},
    Any: {},
}
SENTENCE = {
    "type": "object",
    "description": "a sentence: its code, the values that fill it, and its words in English",
    "properties": {"code": {"type": "string"}, "values": {"type": "object"}, "text": {"type": "string"}},
    "required": ["code", "values", "text"],
    "additionalProperties": False,
}


@dataclass(slots=True)
class _Definitions:
    """The shapes that were met on the way, by their names."""

    posted: Collection[type]
    kinds: dict[str, type] = field(default_factory=dict)
    schemas: dict[str, Any] = field(default_factory=dict)

    def of(self, hint: Any) -> dict[str, Any]:
        """The schema of a type, with what its annotations say."""
        if get_origin(hint) is Annotated:
            inner, *said = get_args(hint)
            return _told(self.of(inner), said)
        if hint in SIMPLE:
            return dict(SIMPLE[hint])
        if isinstance(hint, type) and issubclass(hint, Enum):
            return {"enum": [member.value for member in hint]}
        if isinstance(hint, type) and (hint is Message or is_dataclass(hint)):
            return self._named(hint)
        return self._put_together(get_origin(hint), get_args(hint))

    def _put_together(self, kind: Any, of: tuple[Any, ...]) -> dict[str, Any]:
        made: Mapping[Any, Callable[[], dict[str, Any]]] = {
            Literal: lambda: {"enum": list(of)},
            Union: lambda: {"anyOf": [self.of(each) for each in of]},
            UnionType: lambda: {"anyOf": [self.of(each) for each in of]},
            tuple: lambda: self._tuple(of),
            list: lambda: {"type": "array", "items": self.of(of[0])},
            Sequence: lambda: {"type": "array", "items": self.of(of[0])},
            dict: lambda: {"type": "object", "additionalProperties": self.of(of[1])},
            Mapping: lambda: {"type": "object", "additionalProperties": self.of(of[1])},
        }
        if kind not in made:
            raise TypeError(f"no schema for {kind} of {of}")
        return made[kind]()

    def _tuple(self, of: tuple[Any, ...]) -> dict[str, Any]:
        if of[-1] is Ellipsis:
            return {"type": "array", "items": self.of(of[0])}
        places = [self.of(each) for each in of]
        return {"type": "array", "prefixItems": places, "items": False, "minItems": len(places)}

    def _named(self, kind: type) -> dict[str, Any]:
        name = kind.__name__
        if self.kinds.setdefault(name, kind) is not kind:
            raise TypeError(f"two shapes are called {name}")
        if name not in self.schemas:
            # Known before it is done: a shape may hold its like.
            self.schemas[name] = {}
            self.schemas[name] = SENTENCE if kind is Message else self._object(kind)
        return {"$ref": f"#/$defs/{name}"}

    def _object(self, kind: type) -> dict[str, Any]:
        members = {name: self.of(hint) for name, hint in described(kind).items()}
        return {
            "type": "object",
            "description": " ".join((kind.__doc__ or "").split()),
            "properties": members,
            "required": [name for name in members if not (kind in self.posted and name in _left_out(kind))],
            "additionalProperties": False,
        }


def _left_out(kind: type) -> set[str]:
    return {each.name for each in fields(kind) if each.default is not MISSING}


def _told(schema: dict[str, Any], said: list[Any]) -> dict[str, Any]:
    """A schema with meaning and unit; of two the outer one holds."""
    meaning = next((each for each in said if isinstance(each, str)), schema.pop("description", ""))
    unit = next((each.symbol for each in said if isinstance(each, Unit)), schema.pop("x-unit", ""))
    more = {"description": meaning, "x-unit": unit}
    return {**schema, **{name: value for name, value in more.items() if value}}


def json_schema(kind: type, *, name: str, title: str, posted: Collection[type] = ()) -> dict[str, Any]:
    """The schema of a dataclass, under a name of its own (a URN); raises TypeError for a type without one.

    Of the `posted` dataclasses what has a default may be missing.
    """
    definitions = _Definitions(posted=posted)
    whole = definitions.of(kind)
    return {"$schema": DRAFT, "$id": name, "title": title, **whole, "$defs": definitions.schemas}
