"""What is wrong with a body, by a code and its values; the words stand in the catalogues, as everywhere.

marshmallow keeps texts, and fills them with `format`. So it is given texts that carry a message,
in the place of its own English ones too.
"""

from collections.abc import Mapping
from typing import Any

from marshmallow import Schema, ValidationError, fields, validate

from service.engine.ground.messages import Message, message

FILLED_IN = ("min", "max", "equal", "choices")
"""What marshmallow gives that a reader needs; what was sent is not sent back."""
LATER: Mapping[str, Any] = {}
"""In the place of what it fills in."""


class Said(str):
    """A sentence, which marshmallow takes for a text: the code of its message."""

    __slots__ = ("message",)
    message: Message

    def __new__(cls, said: Message) -> "Said":
        made = super().__new__(cls, said.code)
        made.message = said
        return made

    def __deepcopy__(self, _memo: object) -> "Said":
        return self

    def format(self, *_: object, **given: Any) -> "Said":
        """The sentence with what marshmallow fills in."""
        more = {name: given[name] for name in FILLED_IN if given.get(name) is not None}
        return Said(Message(self.message.code, {**self.message.values, **more}))


def wrong(said: Message, field: str = "_schema") -> ValidationError:
    """The error of a field, or of the whole object."""
    return ValidationError(Said(said), field)


NO_TEXT = Said(message("schemas.no_text"))
UNKNOWN = Said(message("schemas.unknown_field"))
NO_OBJECT = Said(message("schemas.no_object"))
NO_CHOICE = Said(message("schemas.no_choice", **LATER))
ALIKE = Said(message("schemas.no_such_form"))
NO_ADDRESS = Said(message("schemas.no_mail_address"))

OF_FIELDS: Mapping[type[fields.Field[Any]], Mapping[str, Said]] = {
    fields.Field: {
        "required": Said(message("schemas.missing")),
        "null": Said(message("schemas.null")),
        "validator_failed": Said(message("schemas.invalid")),
    },
    fields.Nested: {"type": NO_OBJECT},
    fields.List: {"invalid": Said(message("schemas.no_list"))},
    fields.Mapping: {"invalid": NO_OBJECT},
    fields.String: {"invalid": NO_TEXT, "invalid_utf8": NO_TEXT},
    fields.UUID: {"invalid_uuid": Said(message("schemas.no_uuid"))},
    fields.Email: {"invalid": NO_ADDRESS},
    fields.Float: {"special": Said(message("schemas.no_number"))},
    fields.Number: {
        "invalid": Said(message("schemas.no_number")),
        "too_large": Said(message("schemas.too_large")),
    },
    fields.Integer: {"invalid": Said(message("schemas.no_whole_number"))},
    fields.Boolean: {"invalid": Said(message("schemas.no_boolean"))},
    fields.Enum: {"unknown": NO_CHOICE},
}
OF_VALIDATORS: Mapping[type[validate.Validator], Mapping[str, Said]] = {
    validate.Range: {
        "message_min": Said(message("schemas.below", **LATER)),
        "message_max": Said(message("schemas.above", **LATER)),
        "message_all": Said(message("schemas.outside", **LATER)),
    },
    validate.Length: {
        "message_min": Said(message("schemas.shorter", **LATER)),
        "message_max": Said(message("schemas.longer", **LATER)),
        "message_all": Said(message("schemas.length_outside", **LATER)),
        "message_equal": Said(message("schemas.other_length", **LATER)),
    },
    validate.OneOf: {"default_message": NO_CHOICE},
    validate.Regexp: {"default_message": ALIKE},
    validate.Email: {"default_message": NO_ADDRESS},
}


def _teach() -> None:
    """Let the library say all of this; what is built from now on does."""
    Schema._default_error_messages = {"type": NO_OBJECT, "unknown": UNKNOWN}
    for kind, said in OF_FIELDS.items():
        kind.default_error_messages = {**vars(kind).get("default_error_messages", {}), **said}
    for validator, texts in OF_VALIDATORS.items():
        for name, text in texts.items():
            setattr(validator, name, text)


_teach()
