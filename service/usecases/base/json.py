"""Between the engine's dataclasses and plain JSON values.

One converter, one set of rules: enumerations by their value, exact decimals as
strings, moments in RFC 3339 with Z, tuples as lists. Reading is strict: an
unknown member or a missing one is an error.
"""

import json
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import cache, lru_cache
from types import NoneType, UnionType
from typing import Any, NoReturn, TypeVar, Union, get_args, get_origin
from uuid import UUID

import cattrs
import orjson
from cattrs.fns import identity
from cattrs.gen import make_dict_unstructure_fn, override

from service.documents.wording.sentences import in_words
from service.engine.ground.messages import Message, from_plain, to_plain
from service.engine.ground.rfc3339 import moment_text, read_day
from service.store.types import Deflated

T = TypeVar("T")

OURS = orjson.OPT_PASSTHROUGH_DATETIME | orjson.OPT_PASSTHROUGH_DATACLASS
"""What is not left to the library in C: times, which have their own rules, and dataclasses, whose slots it
reads more slowly than a function that is made for them."""
SENTENCES = 1000
"""So many are kept as they are written: a building says a few, of many of its cavities."""
READ_AGAIN = 100
"""So many are kept as they were read: a firm has a practice, few materials and price lists."""


def _moment(moment: datetime) -> str:
    return moment_text(moment.astimezone(UTC))


_converter = cattrs.Converter(forbid_extra_keys=True)
_converter.register_unstructure_hook(Decimal, str)
_converter.register_unstructure_hook(UUID, str)
_converter.register_unstructure_hook(date, date.isoformat)
_converter.register_unstructure_hook(datetime, _moment)
# What is stored and answered can be read by people too: the words stand beside code and values.


def _with_words(said: Message) -> dict[str, Any]:
    return {**to_plain(said), "text": in_words(said)} if said.values else _plain_word(said.code)


@cache
def _plain_word(code: str) -> dict[str, Any]:
    """A message without values: where a figure comes from is said many times over."""
    return {"code": code, "values": {}, "text": in_words(Message(code))}


_converter.register_unstructure_hook(Message, _with_words)
_converter.register_unstructure_hook(Deflated, lambda deflated: deflated.plain)
# What `kept` wrote, where it meets what the library cannot write.
_converter.register_unstructure_hook(orjson.Fragment, lambda written: orjson.loads(orjson.dumps(written)))


def _is_optional(kind: Any) -> bool:
    return get_origin(kind) in (Union, UnionType) and len(get_args(kind)) == 2 and NoneType in get_args(kind)


def _optional(kind: Any) -> Callable[[Any, Any], Any]:
    """What reads a value of a kind, or None: looked up once, and not for each of many values."""
    inner = next(each for each in get_args(kind) if each is not NoneType)
    read = _converter.get_structure_hook(inner)
    return lambda value, _: None if value is None else read(value, inner)


_converter.register_structure_hook_factory(_is_optional, _optional)
_converter.register_structure_hook(Message, lambda plain, _: from_plain(plain))
_converter.register_structure_hook(Decimal, lambda value, _: Decimal(str(value)))
_converter.register_structure_hook(
    date, lambda value, _: value if isinstance(value, date) else read_day(value)
)


def to_json(value: Any) -> Any:
    """`value` with everything in it made a plain JSON value."""
    if isinstance(value, (dict, list)) or is_dataclass(value):
        # A library in C knows all of it but sentences and times, and is twenty times as fast.
        with suppress(orjson.JSONEncodeError):
            return orjson.loads(orjson.dumps(value, _ours, OURS))
    return _converter.unstructure(value)


def but_workings(said: Mapping[str, Any]) -> dict[str, Any]:
    """What is said of a takeoff, made plain but for the workings of its cavities: these stay as they are."""
    workings = said["takeoff"]["cavities"]
    plain: dict[str, Any] = to_json({**said, "takeoff": {**said["takeoff"], "cavities": []}})
    plain["takeoff"]["cavities"] = workings
    return plain


def written(value: Any, *, sorted_by_name: bool = False) -> bytes:
    """The JSON text of `value`, everything in it made plain: of mappings whose keys are text, in UTF-8."""
    if sorted_by_name:
        return orjson.dumps(value, _unwritten, OURS | orjson.OPT_SORT_KEYS)
    return orjson.dumps(value, _ours, OURS)


def inflating(value: Any) -> orjson.Fragment:
    """What is deflated, as the JSON that it is: whoever writes JSON need not read it first."""
    if isinstance(value, Deflated):
        return orjson.Fragment(value.text)
    raise TypeError(f"{type(value).__name__} is no plain value")


def _unwritten(value: Any) -> Any:
    """The same for what is sorted: what is written already stays in its order."""
    return _with_words(value) if isinstance(value, Message) else _ours(value)


def _ours(value: Any) -> Any:
    return _WRITERS[type(value)](value)


def _writer_of(kind: type) -> Callable[[Any], Any]:
    """What makes values of this kind such as the library in C writes by itself, or asks for again."""
    if kind is Message:
        return _sentence
    if issubclass(kind, datetime):
        return _moment
    if issubclass(kind, Deflated):
        return inflating
    if is_dataclass(kind):
        same: Any = override(unstruct_hook=identity)
        as_they_are = dict.fromkeys((member.name for member in fields(kind)), same)
        return make_dict_unstructure_fn(kind, _converter, **as_they_are)
    return _converter.unstructure


class _Writers(dict[type, Callable[[Any], Any]]):
    def __missing__(self, kind: type) -> Callable[[Any], Any]:
        made = self[kind] = _writer_of(kind)
        return made


_WRITERS = _Writers()


def _sentence(said: Message) -> orjson.Fragment:
    return _worded(orjson.dumps(to_plain(said))) if said.values else _word(said.code)


@cache
def _word(code: str) -> orjson.Fragment:
    return orjson.Fragment(orjson.dumps(_plain_word(code)))


@lru_cache(maxsize=SENTENCES)
def _worded(plain: bytes) -> orjson.Fragment:
    """The words beside a message's plain form. Numbers that are equal, and are not written alike, differ."""
    said = orjson.loads(plain)
    return orjson.Fragment(orjson.dumps({**said, "text": in_words(said)}))


def kept(value: Any) -> Any:
    """`value` for a column of JSON, written here and now, and only once."""
    return orjson.Fragment(written(value))


def packed(value: Any) -> Deflated:
    """`value` for a column that keeps it deflated, so that no transaction waits for that."""
    return Deflated.written(written(value))


def as_posted(value: Any) -> Any:
    """`value` as somebody would post it: a plain JSON value without the members that have none."""
    return _said(to_json(value))


def _said(plain: Any) -> Any:
    if isinstance(plain, dict):
        return {name: _said(value) for name, value in plain.items() if value is not None}
    return [_said(each) for each in plain] if isinstance(plain, list) else plain


def from_json(kind: type[T], value: Any) -> T:
    """`value` read as the dataclass `kind`; raises cattrs' error group when it does not fit."""
    return _converter.structure(value, kind)


def from_json_again(kind: type[T], value: Any) -> T:
    """`value` read as the frozen dataclass `kind`; what was read lately, to the letter, is not read again.

    For what many requests are worked out by, such as a firm's practice.
    """
    of: type = kind
    read: T = _read(of, written(value))
    return read


@lru_cache(maxsize=READ_AGAIN)
def _read(kind: type, text: bytes) -> Any:
    return from_json(kind, orjson.loads(text))


def read_strictly(content: bytes) -> Any:
    """The values in a JSON file (RFC 8259); raises ValueError for what is none, or not for every reader.

    Of two alike names in one object each reader takes its own (RFC 8259, 4); no number is infinite.
    """
    return json.loads(content, parse_constant=_no_constant, object_pairs_hook=_object)


def read_each_strictly(elements: bytes) -> None:
    """Read the elements of an array, without its brackets, one after another as `read_strictly` does."""
    decoder = json.JSONDecoder(object_pairs_hook=_object, parse_constant=_no_constant)
    text, at = elements.decode(), 0
    while text:
        _, at = decoder.raw_decode(text, at)
        if at == len(text):
            return
        if text[at] != ",":
            raise ValueError("elements are not parted by a comma")
        at += 1


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(found := dict(pairs)) != len(pairs):
        raise ValueError("a name comes twice")
    return found


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number in JSON")
