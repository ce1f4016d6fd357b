"""Heads of columns and the members of a body that they stand for: `layer 1 framing member (mm)`.

A head is the member's name in words, list members numbered from 1, and its unit. It is derived
from the schema that reads the body, so that everything that can be posted can stand in a sheet.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from marshmallow import Schema, fields

from schemas.fields import Several
from schemas.units import SUFFIXES, unit_of

Step = str | int
Path = tuple[Step, ...]

SINGULAR = {"layers": "layer", "openings": "opening", "extras": "extra"}
# One of these in the unit that the service reads: exact (NIST SP 811, B.8), but the last, to 16 digits.
FACTORS: Mapping[str, Mapping[str, str]] = {
    "mm": {"cm": "10", "m": "1000", "in": "25.4", "ft": "304.8"},
    "m": {"mm": "0.001", "cm": "0.01", "in": "0.0254", "ft": "0.3048"},
    "m2": {"ft2": "0.09290304"},
    "m3": {"ft3": "0.028316846592"},
    "kg/m3": {"lb/ft3": "16.01846337396014"},
}
UNIT = re.compile(r"(.*?)\s*\(([^()]+)\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A member that a column stands for; `factor` takes its values to the member's own unit."""

    path: Path
    field: fields.Field[Any]
    factor: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong(Exception):
    """Why a head stands for nothing: the unit that it has to have, or None where no member is called so."""

    units: tuple[str, ...] | None


def column_of(schema: Schema, head: str) -> Column:
    """What a head stands for; raises Wrong where that is nothing."""
    name, unit = _split(head)
    found = next(_matches(schema, tuple(name.split()), ()), None)
    if found is None:
        raise Wrong(units=None)
    path, field = found
    known = unit_of(field)
    if unit == known:
        return Column(path=path, field=field)
    factors = FACTORS.get(known or "", {})
    if unit is None or unit not in factors:
        raise Wrong(units=(known, *factors) if known else ())
    return Column(path=path, field=field, factor=Decimal(factors[unit]))


def _split(head: str) -> tuple[str, str | None]:
    """The name, as words without underscores, and the unit."""
    text = " ".join(head.replace("_", " ").lower().split())
    matched = UNIT.fullmatch(" ".join(head.split()))
    if matched is None:
        return text, None
    return " ".join(matched[1].replace("_", " ").lower().split()), matched[2].strip()


def _matches(schema: Schema, words: tuple[str, ...], path: Path) -> Iterator[tuple[Path, fields.Field[Any]]]:
    for name, field in schema.fields.items():
        said = words_of(name, field)
        if words[: len(said)] == said:
            yield from _inside(field, words[len(said) :], (*path, name))


def _inside(field: Any, words: tuple[str, ...], path: Path) -> Iterator[tuple[Path, fields.Field[Any]]]:
    if isinstance(field, fields.Nested):
        yield from _matches(field.schema, words, path)
    elif isinstance(field, Several) and isinstance(field.inner, fields.Nested):
        if words and words[0].isascii() and words[0].isdigit() and 1 <= int(words[0]) <= field.most:
            yield from _matches(field.inner.schema, words[1:], (*path, int(words[0]) - 1))
    elif not words:
        yield path, field


@cache
def _words(name: str, unit: str | None) -> tuple[str, ...]:
    suffix = SUFFIXES.get(unit or "")
    bare = name.removesuffix(f"_{suffix}") if suffix else name
    return tuple(SINGULAR.get(bare, bare).split("_"))


def words_of(name: str, field: fields.Field[Any]) -> tuple[str, ...]:
    """A member's name in words, without its unit."""
    return _words(name, unit_of(field))


def head_of(schema: Schema, path: Sequence[Step]) -> str:
    """The head of the column that stands for a member."""
    words: list[str] = []
    field: Any = None
    for step in path:
        if isinstance(step, int):
            words.append(str(step + 1))
            field = field.inner
        else:
            inside = schema if field is None else field.schema
            field = inside.fields[step]
            words += words_of(step, field)
    unit = unit_of(field)
    return " ".join(words) + (f" ({unit})" if unit else "")


def leaves(schema: Schema, body: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """The members of a body that have a column of their own, in the schema's order."""
    for name, field in schema.fields.items():
        if body.get(name) is not None:
            yield from _leaves(field, body[name], (*path, name))


def _leaves(field: Any, value: Any, path: Path) -> Iterator[tuple[Path, Any]]:
    if isinstance(field, fields.Nested):
        yield from leaves(field.schema, value, path)
    elif isinstance(field, Several) and isinstance(field.inner, fields.Nested):
        for index, each in enumerate(value):
            yield from leaves(field.inner.schema, each, (*path, index))
    elif value != []:
        yield path, value


def all_heads(schema: Schema) -> Iterator[tuple[str, str]]:
    """Every head that there can be, numbered members as their first, with what it means."""
    for path, field in _every(schema, ()):
        yield head_of(schema, path), str(field.metadata.get("description", ""))


def _every(schema: Schema, path: Path) -> Iterator[tuple[Path, fields.Field[Any]]]:
    for name, field in schema.fields.items():
        here = (*path, name)
        if isinstance(field, fields.Nested):
            yield from _every(field.schema, here)
        elif isinstance(field, Several) and isinstance(field.inner, fields.Nested):
            yield from _every(field.inner.schema, (*here, 0))
        else:
            yield here, field
