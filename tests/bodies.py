"""Hypothesis strategies for bodies, made from the schemas that read them."""

import copy
from typing import Any

from hypothesis import strategies as st
from marshmallow import Schema, fields, validate

from schemas.entries import EntryField
from schemas.fields import Amount, Day, Flag, Moment, Number, Several, Text, Whole, Word

MOST_MEMBERS = 4
LETTERS = st.characters(codec="utf-8", exclude_categories=("C", "Zl", "Zp"))


def _range(field: fields.Field[Any]) -> Any:
    return next(each for each in field.validators if isinstance(each, validate.Range))


def _number(field: Number) -> st.SearchStrategy[float]:
    limits = _range(field)
    return st.floats(limits.min, limits.max) | st.sampled_from([limits.min, limits.max])


def _whole(field: Whole) -> st.SearchStrategy[int]:
    limits = _range(field)
    return st.integers(limits.min, limits.max) | st.sampled_from([limits.min, limits.max])


def _text(field: fields.String) -> st.SearchStrategy[str]:
    for each in field.validators:
        if isinstance(each, validate.Regexp):
            return st.from_regex(each.regex, fullmatch=True)
        if isinstance(each, validate.OneOf):
            return st.sampled_from(list(each.choices))
    return st.text(LETTERS, min_size=1, max_size=20).filter(str.strip)


def _several(field: Several) -> st.SearchStrategy[list[Any]]:
    length = next(each for each in field.validators if isinstance(each, validate.Length))
    most = max(length.min or 0, min(length.max, MOST_MEMBERS))
    return st.lists(value_of(field.inner), min_size=length.min or 0, max_size=most)


def _by_key(field: fields.Dict) -> st.SearchStrategy[dict[str, Any]]:
    return st.dictionaries(value_of(field.key_field), value_of(field.value_field), min_size=1, max_size=2)


def value_of(field: fields.Field[Any]) -> st.SearchStrategy[Any]:
    """Values that a field reads."""
    kinds: tuple[tuple[type, Any], ...] = (
        (Number, _number),
        (Whole, _whole),
        (Flag, lambda _: st.booleans()),
        (Word, lambda each: st.sampled_from([word.value for word in each.enum])),
        (Text, _text),
        (Amount, lambda each: st.decimals(each.least, each.most, places=2).map(str)),
        (Day, lambda _: st.dates().map(lambda day: day.isoformat())),
        (fields.Date, lambda _: st.dates().map(lambda day: day.isoformat())),
        (Moment, lambda _: st.just("2026-11-25T08:00:00Z")),
        (fields.Email, lambda _: st.just("a@client.example")),
        (fields.UUID, lambda _: st.uuids().map(str)),
        (fields.String, _text),
        (fields.Nested, lambda each: body_of(each.schema)),
        (fields.Dict, _by_key),
        (Several, _several),
        (EntryField, lambda each: st.one_of([body_of(kind()) for kind in each.kinds.values()])),
    )
    return next(make(field) for kind, make in kinds if isinstance(field, kind))


def body_of(schema: Schema) -> st.SearchStrategy[dict[str, Any]]:
    """Bodies that a schema reads, field by field; its rules about several fields may still refuse them."""
    required = {name: value_of(field) for name, field in schema.fields.items() if field.required}
    optional = {name: value_of(field) for name, field in schema.fields.items() if not field.required}
    return st.fixed_dictionaries(required, optional=optional)


@st.composite
def changed(draw: st.DrawFn, schema: Schema, base: dict[str, Any], most: int = 2) -> dict[str, Any]:
    """`base` with up to `most` members, at any depth, replaced by others that the schema reads."""
    body = copy.deepcopy(base)
    for _ in range(draw(st.integers(1, most))):
        _change(draw, schema, body)
    return body


def _change(draw: st.DrawFn, schema: Schema, body: dict[str, Any]) -> None:
    name = draw(st.sampled_from(sorted(schema.fields)))
    field, present = schema.fields[name], body.get(name)
    if isinstance(field, fields.Nested) and present and draw(st.booleans()):
        _change(draw, field.schema, present)
    elif isinstance(field, Several) and isinstance(field.inner, fields.Nested) and present:
        _change(draw, field.inner.schema, draw(st.sampled_from(present)))
    else:
        body[name] = draw(value_of(field))
