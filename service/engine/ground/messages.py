"""What the engine has to say, before it is words in any language.

The engine names a message by its code and gives the values that belong into it. Words stand in
the documents' catalogues alone, one for each language, and measures are written for the market
that reads them. Nothing ever parses a sentence back: the plain form keeps code and values.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import lru_cache
from re import sub
from typing import Any, Union

from service.engine.ground.quick import quick
from service.engine.ground.rfc3339 import read_day, read_moment


@quick
@dataclass(frozen=True, slots=True)
class Quantity:
    """A figure with its unit, spelled as in field names: `kg/m3`, `mm`, `m`, `kg`, `h`, `%`."""

    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Word:
    """A word of the vocabulary, by the code of its wording: `element.wall`."""

    code: str


Value = Union[str, bool, int, float, date, Quantity, Word, "Message", tuple["Value", ...]]


class Message:
    """A sentence to be: `code` names it, `values` fill it. Text among them is what people typed.

    No dataclass, though it looks like one: what writes dataclasses as JSON must ask how this is written.
    """

    __match_args__ = ("code", "values")
    __slots__ = ("code", "values")

    def __init__(self, code: str, values: Mapping[str, Value] | None = None) -> None:
        self.code = code
        self.values: Mapping[str, Value] = values or {}

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Message):
            return NotImplemented
        return self.code == other.code and self.values == other.values

    def __hash__(self) -> int:
        return hash((self.code, tuple(self.values.items())))

    def __repr__(self) -> str:
        return f"Message({self.code!r}, {self.values!r})"

    def __str__(self) -> str:
        return self.code


def message(code: str, /, **values: Value) -> Message:
    """The message of this code; members of the vocabulary become their words."""
    return Message(code, {name: _worded(value) for name, value in values.items()} if values else None)


# By its type too: members of two vocabularies are equal where they are spelt alike.
@lru_cache(maxsize=None, typed=True)
def word(member: StrEnum) -> Word:
    """A member of the vocabulary as a word: `Element.ROOF_SLOPE` is `element.roof_slope`."""
    kind = sub(r"(?<!^)(?=[A-Z])", "_", type(member).__name__).lower()
    return Word(f"{kind}.{member.value}")


def to_plain(said: Message) -> dict[str, Any]:
    """The message as plain JSON values, from which `from_plain` makes the same message again."""
    return {"code": said.code, "values": {name: _plain(value) for name, value in said.values.items()}}


def from_plain(plain: Mapping[str, Any]) -> Message:
    """The message of a plain form; the words that may stand beside it are not looked at."""
    return Message(plain["code"], {name: _value(value) for name, value in plain["values"].items()})


def _worded(value: Value) -> Value:
    if isinstance(value, tuple):
        return tuple(map(_worded, value))
    return word(value) if isinstance(value, StrEnum) else value


def _plain(value: Value) -> Any:
    match value:
        case Message():
            return to_plain(value)
        case Quantity():
            return {"value": value.value, "unit": value.unit}
        case Word():
            return {"word": value.code}
        case date():
            return {"moment" if isinstance(value, datetime) else "day": value.isoformat()}
        case tuple():
            return [_plain(each) for each in value]
    return value


def _value(plain: Any) -> Value:
    match plain:
        case {"code": str()}:
            return from_plain(plain)
        case {"value": value, "unit": unit}:
            return Quantity(value, unit)
        case {"word": str(code)}:
            return Word(code)
        case {"day": str(day)}:
            return read_day(day)
        case {"moment": str(moment)}:
            return read_moment(moment)
        case list():
            return tuple(map(_value, plain))
    given: Value = plain
    return given
