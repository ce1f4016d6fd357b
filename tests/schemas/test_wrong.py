"""Whatever a schema says of a body has a code and its values, marshmallow's own sentences too."""

from importlib import import_module
from inspect import getmembers
from typing import Any

import pytest
from marshmallow import Schema, ValidationError, fields, validate

from schemas.fields import Number, Text
from schemas.wrong import Said, wrong
from service.api.json_body import faults
from service.engine.ground.messages import message
from tests.refusals import words
from tests.sources import modules

# Said where a value is written, or of fields that read a value by themselves and say it in their own words.
NOT_SAID = {"format", "invalid_awareness"}
OWN_WORDS = (fields.DateTime, fields.Date)


def sentences(field: fields.Field[Any]) -> list[str]:
    """What a field, its validators and its members may say."""
    found = [text for name, text in field.error_messages.items() if name not in NOT_SAID]
    if isinstance(field, OWN_WORDS):
        found.remove(field.error_messages["invalid"])
    for each in field.validators:
        found += [text for name, text in getmembers(each) if name in TEXTS and text is not None]
    inner = [getattr(field, name, None) for name in ("inner", "key_field", "value_field")]
    return found + [text for each in inner if isinstance(each, fields.Field) for text in sentences(each)]


TEXTS = {"error", "message_min", "message_max", "message_all", "message_equal"}


SCHEMAS = {
    f"{path.stem}.{name}": kind
    for path in modules("schemas")
    if path.stem != "__init__"
    for name, kind in getmembers(import_module(f"schemas.{path.stem}"))
    if isinstance(kind, type) and issubclass(kind, Schema) and kind is not Schema
}


class Body(Schema):
    """Something to be wrong."""

    name = Text(required=True, longest=5)
    share = Number(least=0, most=1)
    tags = fields.List(fields.Integer())
    word = fields.String(validate=validate.OneOf(["a", "b"]))


@pytest.mark.parametrize(
    ("body", "pointer", "code", "english"),
    [
        ({}, "/name", "schemas.missing", "Missing data for required field."),
        ({"name": None}, "/name", "schemas.null", "Field may not be null."),
        ({"name": 5}, "/name", "schemas.no_text", "Not a valid string."),
        ({"name": "too long"}, "/name", "schemas.length_outside", "Length must be between 1 and 5."),
        ({"name": " "}, "/name", "schemas.blank", "Must not be blank."),
        ({"name": "x", "share": 1.5}, "/share", "schemas.outside", "Must be from 0 to 1."),
        ({"name": "x", "share": "1"}, "/share", "schemas.no_number", "Must be a number."),
        ({"name": "x", "tags": ["y"]}, "/tags/0", "schemas.no_whole_number", "Must be a whole number."),
        ({"name": "x", "word": "c"}, "/word", "schemas.no_choice", "Must be one of: a, b."),
        ({"name": "x", "more": 1}, "/more", "schemas.unknown_field", "Unknown field."),
        ([], "", "schemas.no_object", "Must be an object."),
    ],
    ids=lambda each: each if isinstance(each, str) else "",
)
def test_a_fault_has_its_code_and_words(body: Any, pointer: str, code: str, english: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Body().load(body)
    (fault,) = faults(caught.value.messages)
    assert (fault.pointer, fault.detail.code, words(fault.detail)) == (pointer, code, english)


def test_a_sentence_is_filled_and_keeps_nothing_of_what_was_sent() -> None:
    filled = Said(message("schemas.outside")).format(input="secret", min=1, max=None)
    assert filled.message.values == {"min": 1}


def test_the_whole_object_can_be_wrong() -> None:
    assert faults(wrong(message("schemas.no_object")).messages)[0].pointer == ""


@pytest.mark.parametrize("name", SCHEMAS)
def test_no_schema_says_anything_without_a_code(name: str) -> None:
    made = SCHEMAS[name]()
    assert {key for key, text in made.error_messages.items() if not isinstance(text, Said)} == set()
    told = {key: sentences(field) for key, field in made.fields.items()}
    assert {key: [text for text in said if not isinstance(text, Said)] for key, said in told.items()} == {
        key: [] for key in told
    }
