"""What is posted, read quickly by its schema while all of it is right; marshmallow says what is wrong.

marshmallow makes a closure, three calls and a list of validators for every member of every object. A
reader is made once for each schema, does the same checks, and gives the same values in the same order.
It raises ValidationError, without a word, at the first thing that it does not know to be right: then
`load` has the say. What it has no quick way for it leaves to the field itself.
"""

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from marshmallow import RAISE, Schema, ValidationError, fields, missing
from marshmallow.decorators import POST_LOAD, PRE_LOAD, VALIDATES, VALIDATES_SCHEMA

from schemas.fields import Flag, Number, Several, Text, Whole, Word

Reader = Callable[[Any], Any]
DOUBT = ""
PLAIN: Mapping[str, Any] = {"many": False, "partial": None, "unknown": RAISE}


@cache
def reader(schema: Schema) -> Reader:
    """What reads an object as `schema.load` does, or raises ValidationError: then that is to be asked.

    It is kept with its schema, so that one is no schema that is made for one request.
    """
    if not _is_plain(schema):
        return schema.load
    first, last = _called(schema, PRE_LOAD), _called(schema, VALIDATES_SCHEMA)
    members = [(name, _of(field), _absent(field)) for name, field in schema.load_fields.items()]

    def read(sent: Any) -> dict[str, Any]:
        for hook in first:
            sent = hook(sent)
        if type(sent) is not dict or not sent.keys() <= schema.load_fields.keys():
            raise ValidationError(DOUBT)
        # In the order of the schema, as marshmallow has them: so they are kept and answered.
        found = {}
        for name, present, absent in members:
            if name in sent:
                found[name] = present(sent[name])
            elif absent:
                found[name] = absent()
        for hook in last:
            hook(found)
        return found

    return read


def _is_plain(schema: Schema) -> bool:
    """Whether nothing is asked of a schema that readers do not know."""
    hooks = [each for kind in (PRE_LOAD, VALIDATES_SCHEMA) for each in schema._hooks[kind]]
    return not (
        (schema.many or schema.partial or schema.unknown != RAISE)
        or (schema._hooks[POST_LOAD] or schema._hooks[VALIDATES])
        or any(many or options.get("pass_original") for _name, many, options in hooks)
        or any(field.data_key or field.attribute for field in schema.load_fields.values())
    )


def _called(schema: Schema, kind: str) -> list[Reader]:
    """The hooks of a kind, called as the library calls them."""

    def of(name: str) -> Reader:
        hook = getattr(schema, name)
        return lambda value: hook(value, **PLAIN)

    return [of(name) for name, _many, _options in schema._hooks[kind]]


def _absent(field: fields.Field[Any]) -> Callable[[], Any] | None:
    """What a member is that was not sent; None where it is simply not there."""
    if field.required or field.load_default is not missing:
        return lambda: field.deserialize(missing)
    return None


def _of(field: fields.Field[Any]) -> Reader:
    """What reads a field's value: quickly, where it is of a kind with one validator that is known."""
    quick = QUICK.get(type(field))
    if quick is None or field.pre_load or field.post_load or len(field.validators) > 1:
        return field.deserialize
    return quick(field)


def _number(field: Any) -> Reader:
    least, most = _ends(field)

    def read(value: Any) -> float:
        if (type(value) is float or type(value) is int) and least <= value <= most:
            return float(value)
        raise ValidationError(DOUBT)

    return read


def _whole(field: Any) -> Reader:
    least, most = _ends(field)

    def read(value: Any) -> int:
        if type(value) is int and least <= value <= most:
            return value
        raise ValidationError(DOUBT)

    return read


def _flag(_field: Any) -> Reader:
    def read(value: Any) -> bool:
        if type(value) is bool:
            return value
        raise ValidationError(DOUBT)

    return read


def _text(field: Any) -> Reader:
    least, most = _ends(field)

    def read(value: Any) -> Any:
        # Of ASCII only the blank is not seen.
        if type(value) is str and value.isascii() and value.isprintable() and not value.isspace():
            if least <= len(value) <= most:
                return value
            raise ValidationError(DOUBT)
        return field.deserialize(value)

    return read


def _word(field: Any) -> Reader:
    words = {word.value: word for word in field.enum}

    def read(value: Any) -> Any:
        if type(value) is str and value in words:
            return words[value]
        raise ValidationError(DOUBT)

    return read


def _several(field: Any) -> Reader:
    least, most, member = field.least, field.most, _of(field.inner)

    def read(value: Any) -> list[Any]:
        if type(value) is list and least <= len(value) <= most:
            return [member(each) for each in value]
        raise ValidationError(DOUBT)

    return read


def _nested(field: Any) -> Reader:
    return field.deserialize if field.many or field.unknown else reader(field.schema)


def _ends(field: Any) -> tuple[Any, Any]:
    """The least and the most of a field's only validator: a range, or that of a length."""
    (within,) = field.validators
    return within.min, within.max


QUICK: Mapping[type, Callable[[Any], Reader]] = {
    Number: _number,
    Whole: _whole,
    Flag: _flag,
    Text: _text,
    Word: _word,
    Several: _several,
    fields.Nested: _nested,
}
